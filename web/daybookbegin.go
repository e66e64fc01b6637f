package web

import (
	"crypto/sha256"
	"net/http"
	"strconv"
	"time"

	"henyear/bird"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
)

// derivedID makes an identifier out of words, where the same deed done twice
// must be one record.
func derivedID(words ...string) (id daybook.ID) {
	sum := sha256.New()
	for _, word := range words {
		sum.Write([]byte(strconv.Itoa(len(word)) + ":" + word))
	}
	copy(id[:], sum.Sum(nil))
	return id
}

// beginning is the records by which the birds on hand come into the book: the
// description of each group and its number, today.
func beginning(h *holding.Holding, on measure.Date, at time.Time) []daybook.Event {
	var list []daybook.Event
	for _, g := range h.Birds {
		id := derivedID("group on hand", h.Name, g.ID)
		content := map[string]any{"group": id.String(), "name": groupWords(g), "breed": g.Breed, "sex": sexWords(g.Sex)}
		if g.Strain != "" {
			content["strain"] = string(g.Strain)
		}
		if !g.Hatched.IsZero() && !on.Before(g.Hatched) {
			content["hatched"] = g.Hatched.String()
		}
		list = append(list,
			rawEvent(derivedID("description", h.Name, g.ID), "group", on, at, "", content),
			rawEvent(derivedID("number", h.Name, g.ID), "birds_in", on, at, "", map[string]any{"group": id.String(), "number": g.Number, "how": "on hand"}))
	}
	return list
}

func groupWords(g holding.Group) string {
	words := say("begin."+sexWords(g.Sex), breedName(g.Breed))
	if !g.Hatched.IsZero() {
		words += " " + strconv.Itoa(g.Hatched.Year)
	}
	return words
}

func sexWords(sex bird.Sex) string {
	if sex == bird.Cock {
		return daybook.Cocks
	}
	return daybook.Hens
}

// keepDrafts makes records of what the book proposes. Choosing the same reason
// of the same count twice writes it once.
func (s *Server) keepDrafts(r *http.Request, count daybook.ID, reason daybook.Reason) map[string]string {
	now := s.now()
	var events []daybook.Event
	for i, draft := range reason.Records {
		e, err := draft.Event(derivedID("reason", count.String(), reason.What.Code, reason.What.Text, strconv.Itoa(i)), now, daybook.ID{}, visitorOf(r).Name)
		if err != nil {
			return map[string]string{"": capitalised(err.Error())}
		}
		events = append(events, e)
	}
	return s.keep(r, events, now)
}

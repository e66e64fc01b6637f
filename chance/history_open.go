package chance

import (
	"slices"

	"henyear/breed"
	"henyear/climate"
	"henyear/measure"
)

// What a record leaves open is not luck: a household that plans knows its place,
// its breed and the ages of its hens. So that a lack of words does not pass for
// luck, a history is lived in several readings, each in an equal share of the
// lives (key chance-open-readings).

// readings are the histories that the record may mean, one for each way to fill
// in what it leaves open.
func (h *History) readings() []*History {
	list := []*History{h}
	for _, open := range h.Open {
		var more []*History
		for _, r := range list {
			switch open {
			case "place":
				more = append(more, r.elsewhere("Atlanta GA"), r.elsewhere("Richmond VA"), r.elsewhere("Minneapolis MN"))
			case "place-mild":
				more = append(more, r.elsewhere("Atlanta GA"), r.elsewhere("Richmond VA"), r.elsewhere("Sacramento CA"))
			case "breed":
				more = append(more, r, r.allOf("red-sex-link", breed.Production), r.allOf("plymouth-rock", breed.Utility))
			case "ages":
				more = append(more, r, r.ofOneAge(0), r.ofOneAge(1))
			}
		}
		list = more
	}
	return list
}

func (h *History) elsewhere(name string) *History {
	r := *h
	place, err := climate.FindPlace(name)
	if err != nil {
		panic(err) // a place of the embedded catalogue
	}
	r.Place = place
	return &r
}

func (h *History) allOf(id string, strain breed.Strain) *History {
	b, err := breed.Find(id)
	if err != nil {
		panic(err) // a breed of the embedded catalogue
	}
	r := *h
	r.Groups = slices.Clone(h.Groups)
	for i := range r.Groups {
		r.Groups[i].Breed, r.Groups[i].Strain = b, strain
	}
	return &r
}

// ofOneAge makes the hens with which the record begins of one age: in the laying
// year, from 1 September, that runs then, or so many years older. Nobody leaves
// and nobody joins.
func (h *History) ofOneAge(older int) *History {
	begin := h.begin()
	year := begin.Year - older
	if begin.Month < 9 {
		year--
	}
	r := *h
	r.Groups = nil
	for _, g := range h.Groups {
		if g.From.Before(begin) && begin.Before(g.To) {
			g.Hatched, g.From = measure.Date{Year: year, Month: 4, Day: 15}, measure.Date{Year: year, Month: 9, Day: 1}
			g.To = measure.Date{Year: begin.Year + 5, Month: 1, Day: 1}
			r.Groups = append(r.Groups, g)
		}
	}
	return &r
}

// begin is the first day that is held against the simulation.
func (h *History) begin() measure.Date {
	var first measure.Date
	for _, c := range h.Counts {
		if c.Scored && (first.IsZero() || c.From.Before(first)) {
			first = c.From
		}
	}
	return first
}

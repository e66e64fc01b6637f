package web

import (
	"fmt"
	"strings"

	"henyear/bird"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/report"
)

// cardsOf makes the cards of a flock: single birds that are here, then groups.
func cardsOf(b *daybook.Book, today measure.Date) []birdCard {
	names := b.Names()
	var cards []birdCard
	for _, x := range b.BirdsOn(today) {
		if x.Gone {
			continue
		}
		c := birdCard{Title: strings.TrimSpace(x.Ring + " " + x.Name), Notes: x.Note, Lines: handLines(x.Sex == "cock")}
		c.add("card.breed", breedName(x.Breed))
		c.add("card.sex", cardSex(x.Sex))
		if !x.Hatched.IsZero() {
			c.add("card.hatched", report.Day(x.Hatched))
		}
		c.add("card.sire", names.Birds[x.Sire])
		c.add("card.dam", names.Birds[x.Dam])
		cards = append(cards, c)
	}
	for _, g := range b.GroupsOn(today) {
		if g.Number == 0 {
			continue
		}
		c := birdCard{Title: groupName(g.Group), Notes: g.Note, Lines: handLines(g.Sex == daybook.Cocks)}
		c.add("card.breed", breedName(g.Breed))
		c.add("card.number", fmt.Sprint(g.Number))
		if !g.Hatched.IsZero() {
			c.add("card.hatched", report.Day(g.Hatched))
		}
		for _, pen := range g.Pens {
			if pen.Pen != "" {
				c.add("card.pen", pen.Pen)
			}
		}
		cards = append(cards, c)
	}
	return cards
}

// cardsOfHolding makes a card for each group of the holding file.
func cardsOfHolding(h *holding.Holding) []birdCard {
	var cards []birdCard
	for _, g := range h.Birds {
		c := birdCard{Title: g.ID, Lines: handLines(g.Sex == bird.Cock)}
		if c.Title == "" {
			c.Title = breedName(g.Breed)
		}
		c.add("card.breed", breedName(g.Breed))
		c.add("card.number", fmt.Sprint(g.Number))
		c.add("card.hatched", report.Day(g.Hatched))
		cards = append(cards, c)
	}
	return cards
}

func (c *birdCard) add(code, value string) {
	if value != "" {
		c.Facts = append(c.Facts, fact{say(code), value})
	}
}

func cardSex(sex string) string {
	switch sex {
	case "hen":
		return say("card.hen")
	case "cock":
		return say("card.cock")
	}
	return ""
}

func handLines(cock bool) []string {
	if cock {
		return []string{say("card.weight"), say("card.comb"), say("card.temper"), say("card.with")}
	}
	return []string{say("card.weight"), say("card.first"), say("card.broody"), say("card.moult"), say("card.keep")}
}

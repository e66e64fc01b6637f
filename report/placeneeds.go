package report

import (
	"slices"
	"strings"

	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// PlaceNeed is one demand of one standard on the whole holding, for the flock.
type PlaceNeed struct {
	Standard string  `json:"standard"`
	Item     string  `json:"item"`
	Unit     string  `json:"unit"` // m2, m, or empty for a number
	Required float64 `json:"required"`
	Have     float64 `json:"have"`  // 0 where not told
	State    string  `json:"state"` // meets, short, unknown
	AtMost   bool    `json:"at_most"`
	Source   string  `json:"source"`
}

// needItems is the order in which a keeper looks at a house.
var needItems = []string{"floor", "perch", "nests", "run", "pop_high", "pop_wide", "pop_total", "headroom", "litter", "trough", "cups", "flock"}

// haveOf is what the holding tells of its houses, all together. One house that does
// not tell leaves the sum unknown.
func haveOf(h *holding.Holding) housing.Have {
	have := housing.Unknown()
	if len(h.Means.Houses) == 0 {
		return have
	}
	sum := func(get func(holding.House) float64) float64 {
		total := 0.0
		for _, house := range h.Means.Houses {
			v := get(house)
			if v <= 0 {
				return -1
			}
			total += v
		}
		return total
	}
	least := func(get func(holding.House) float64) float64 {
		low := -1.0
		for _, house := range h.Means.Houses {
			v := get(house)
			if v <= 0 {
				return -1
			}
			if low < 0 || v < low {
				low = v
			}
		}
		return low
	}
	have.FloorM2 = sum(func(x holding.House) float64 { return x.AreaM2 })
	have.PerchM = sum(func(x holding.House) float64 { return x.PerchM })
	have.Nests = sum(func(x holding.House) float64 { return float64(x.Nests) })
	have.TroughM = sum(func(x holding.House) float64 { return x.TroughM })
	have.Cups = sum(func(x holding.House) float64 { return float64(x.DrinkerCups) })
	have.PopHoles = sum(func(x holding.House) float64 { return float64(x.PopHoles) })
	have.PopHighM = least(func(x holding.House) float64 { return x.PopHighM })
	have.PopWidM = least(func(x holding.House) float64 { return x.PopWideM })
	if have.PopHoles < 0 && have.PopWidM >= 0 {
		have.PopHoles = float64(len(h.Means.Houses)) // one each, at least
	}
	have.HeadroomM = least(func(x holding.House) float64 {
		if x.Build == nil {
			return 0
		}
		return x.Build.HeightM
	})
	if littered := sum(func(x holding.House) float64 { return x.LitterCM }); littered > 0 {
		have.LitterM2 = have.FloorM2
	}
	have.RunM2 = h.Means.CoveredRunM2 + h.Place.PastureM2
	return have
}

func (a *PlaceAnswer) needs(h *holding.Holding) {
	for _, n := range housing.Needs(haveOf(h), a.Flock.Stock) {
		row := PlaceNeed{Standard: n.Standard, Item: n.Item, Unit: n.Unit, Required: n.Required, Have: max(0, n.Have), AtMost: n.AtMost, Source: n.Source, State: "unknown"}
		switch {
		case n.Known && n.Meets:
			row.State = "meets"
		case n.Known:
			row.State = "short"
		}
		a.Needs = append(a.Needs, row)
	}
	order := func(item string) int { return slices.Index(needItems, item) }
	slices.SortStableFunc(a.Needs, func(x, y PlaceNeed) int { return order(x.Item) - order(y.Item) })
}

// NeedItem is one thing that standards ask for, with what there is and what each
// asks.
type NeedItem struct {
	Name, Have  string
	State, Mark string // of all together: meets, short, unknown, and the same as a sign
	Words       string
	Asks        []NeedAsk
}

// NeedAsk is what one standard asks.
type NeedAsk struct{ Standard, Asks, State, Code, Source string }

// NeedList is what standards ask, thing by thing.
func (a *PlaceAnswer) NeedList() []NeedItem {
	var list []NeedItem
	for _, n := range a.Needs {
		if len(list) == 0 || list[len(list)-1].Name != say("place.need."+n.Item) {
			have := say("need.untold")
			if n.State != "unknown" {
				have = needFigure(a.Units, n.Have, n.Unit)
			}
			list = append(list, NeedItem{Name: say("place.need." + n.Item), Have: have})
		}
		item := &list[len(list)-1]
		asks := needFigure(a.Units, n.Required, n.Unit)
		if n.AtMost {
			asks = say("need.at_most", asks)
		}
		item.Asks = append(item.Asks, NeedAsk{standardName(n.Standard), asks, say("place.state." + n.State), n.State, n.Source})
	}
	for i := range list {
		list[i].sum()
	}
	return list
}

func standardName(name string) string {
	if name == housing.Household {
		return say("need.household")
	}
	return name
}

// sum says in one phrase where the holding stands on one thing.
func (n *NeedItem) sum() {
	var short []string
	unknown := 0
	for _, ask := range n.Asks {
		switch ask.Code {
		case "short":
			short = append(short, say("need.short_of", ask.Standard, ask.Asks))
		case "unknown":
			unknown++
		}
	}
	switch {
	case len(short) > 0:
		n.State, n.Words = "short", say("need.words.short", whole(float64(len(n.Asks)-len(short))), whole(float64(len(n.Asks))), strings.Join(short, ", "))
	case unknown > 0:
		n.State, n.Words = "unknown", say("need.words.unknown")
	default:
		n.State, n.Words = "meets", say("need.words.meets", whole(float64(len(n.Asks))))
		switch len(n.Asks) {
		case 1:
			n.Words = say("need.words.meets.one", n.Asks[0].Standard)
		case 2:
			n.Words = say("need.words.meets.two")
		}
	}
	n.Mark = say("place.mark." + n.State)
}

func needFigure(u measure.Units, x float64, unit string) string {
	switch unit {
	case "m2":
		return area(u, x)
	case "m":
		switch {
		case x >= 1:
		case u == measure.US:
			return Quantity(u, measure.RainMM, 1000*x, 0)
		default:
			return Number(100*x, decimalsBelow(100*x, 100)) + "\u00a0cm"
		}
		return Quantity(u, measure.LengthM, x, 1)
	}
	return whole(x)
}

// NeedTable is what standards ask as rows, for a terminal.
func (a *PlaceAnswer) NeedTable() Table {
	t := Table{Caption: say("need.caption", whole(a.Flock.Count)), Head: []Column{{say("need.head.item"), true}, {say("need.head.standard"), true}, {say("need.head.asks"), false}, {say("need.head.have"), false}, {say("need.head.state"), true}}}
	for _, item := range a.NeedList() {
		for _, ask := range item.Asks {
			t.Rows = append(t.Rows, []string{item.Name, ask.Standard, ask.Asks, item.Have, ask.State})
		}
	}
	return t
}

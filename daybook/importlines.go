package daybook

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"henyear/measure"
)

// row is one line on the way to its records.
type row struct {
	im    *importer
	cells tableRow
	on    measure.Date
	err   error
}

func (r *row) fail(c *ImportColumn, err error) {
	if r.err == nil {
		r.err = fmt.Errorf("%s: %w", c.Name, err)
	}
}

// text is the text of a field, cleaned.
func (r *row) text(field string) string {
	c := r.im.column(field)
	if c == nil {
		return ""
	}
	return oneLine(r.cells.cell(c.index))
}

func oneLine(text string) string {
	return strings.Join(strings.Fields(strings.Map(printable, text)), " ")
}

// whole reads a whole number; found is false when nothing is written.
func (r *row) whole(c *ImportColumn, most int) (n int, found bool) {
	cell := r.cells.cell(c.index)
	if isBlank(cell) {
		return 0, false
	}
	x, err := parseNumber(cell)
	if err != nil {
		r.fail(c, err)
		return 0, false
	}
	v := x.whole()
	if x.unit == "dozen" || c.Unit == "dozen" {
		v = x.value * 12
	}
	switch {
	case math.Abs(v-math.Round(v)) > 1e-6:
		r.fail(c, fmt.Errorf("%s is not a whole number; a mean is no count, so leave this column out or write what was counted", shorten(cell)))
	case v > float64(most):
		r.fail(c, fmt.Errorf("%s is more than can be", shorten(cell)))
	}
	return int(math.Round(min(v, float64(most)))), true
}

// decimal reads a number with decimals.
func (r *row) decimal(c *ImportColumn) (x readNumber, value float64, found bool) {
	cell := r.cells.cell(c.index)
	if isBlank(cell) {
		return x, 0, false
	}
	x, err := parseNumber(cell)
	if err != nil {
		r.fail(c, err)
		return x, 0, false
	}
	value, ok := x.in(r.im.decimal)
	if !ok {
		r.fail(c, errWaits)
	}
	return x, value, true
}

// kg reads a weight.
func (r *row) kg(c *ImportColumn) (float64, bool) {
	x, v, found := r.decimal(c)
	if !found {
		return 0, false
	}
	unit := x.unit
	if unit == "" {
		unit = r.im.unitOf(c)
	}
	share, known := unitKg[unit]
	if !known {
		r.fail(c, errWaits)
	}
	return math.Round(v*share*1e6) / 1e6, true
}

func (r *row) minor(c *ImportColumn) (measure.Money, bool) {
	_, v, found := r.decimal(c)
	currency := r.im.o.Currency
	if currency.Code == "" {
		currency.Exponent = 2
	}
	return currency.Minor(min(v, 1e9)), found && v > 0
}

// each calls f for every column of a field.
func (im *importer) each(field string, f func(c *ImportColumn)) {
	for i := range im.p.Columns {
		if im.p.Columns[i].Field == field {
			f(&im.p.Columns[i])
		}
	}
}

// line turns a line into payloads.
func (im *importer) line(i int) ([]Payload, error) {
	switch {
	case im.column("date") == nil:
		return nil, errWaits
	case im.noDate[i] != nil:
		return nil, im.noDate[i]
	case im.read[i].open():
		return nil, errWaits
	}
	r := &row{im: im, cells: im.rows[i], on: im.read[i].date}
	list := r.eggs(im.read[i].period)
	list = append(list, r.birds()...)
	list = append(list, r.feed()...)
	list = append(list, r.weights()...)
	list = append(list, r.money()...)
	im.each("note", func(c *ImportColumn) {
		if text := strings.TrimSpace(strings.Map(printable, r.cells.cell(c.index))); text != "" && !isBlank(text) {
			list = append(list, &Note{Text: text, Pen: r.pen(c)})
		}
	})
	// Counts come last, since they move the flock only if all the line is sound.
	return append(list, r.counts()...), r.err
}

func (r *row) pen(c *ImportColumn) string {
	for _, pen := range []string{c.pen, r.text("pen"), r.im.o.Pen} {
		if pen != "" {
			return pen
		}
	}
	return ""
}

// groupName is the group of a cell, or of the line, or of the whole file.
func (r *row) groupName(c *ImportColumn) string {
	for _, name := range []string{c.group, r.text("group"), r.im.o.Group} {
		if name != "" {
			return name
		}
	}
	return ""
}

// group finds or describes the group; zero when none is named.
func (r *row) group(c *ImportColumn) ID {
	name := oneLine(r.groupName(c))
	if name == "" {
		return ID{}
	}
	id := r.im.groupNamed(name, r.text("breed"), r.on)
	if id.IsZero() {
		r.fail(c, fmt.Errorf("the group %q cannot be made; a name has at most %d letters, and a table at most %d groups", shorten(name), mostLine, mostGroups))
	}
	return id
}

// mostGroups is how many groups one table may name. A column with more of them
// holds something else.
const mostGroups = 500

func (im *importer) groupNamed(name, breed string, on measure.Date) ID {
	key := fold(name)
	if id, known := im.groups[key]; known {
		return id
	}
	if len(im.made) >= mostGroups {
		return ID{}
	}
	id := hashedID("henyear import 1 group\n" + key)
	e, err := im.event(on, &Group{Group: id, Name: name, Breed: breed, Sex: sexByName(key), Source: "old records"})
	if err != nil {
		return ID{}
	}
	im.groups[key], im.made[key] = id, e
	im.p.Notes = append(im.p.Notes, say("group-made", map[string]any{"group": name, "sex": sexByName(key)},
		"The group %s is described as %s, hatched on an unknown day; correct that if it is not so.", name, sexByName(key)))
	return id
}

func sexByName(folded string) string {
	for _, w := range strings.Fields(folded) {
		switch {
		case strings.HasPrefix(w, "cock"), strings.HasPrefix(w, "rooster"), strings.HasPrefix(w, "haehn"), w == "hahn":
			return Cocks
		case strings.HasPrefix(w, "chick") && !strings.HasPrefix(w, "chicken"), strings.HasPrefix(w, "kueken"), strings.HasPrefix(w, "broiler"), w == "meat":
			return Unsexed
		}
	}
	return Hens
}

func (r *row) eggs(period int) []Payload {
	var list []Payload
	days := 0
	if period > 1 {
		days = period
	}
	if c := r.im.column("days"); c != nil {
		if n, found := r.whole(c, mostDays); found {
			days = n
		}
	}
	r.im.each("eggs", func(c *ImportColumn) {
		n, found := r.whole(c, mostEggs)
		if !found {
			return
		}
		p := &Eggs{Number: n, Days: days, Pen: r.pen(c), Breed: r.text("breed"), Size: r.text("size")}
		if name := r.groupName(c); name != "" {
			p.Group = r.group(c)
		}
		if len(list) == 0 {
			r.eggDetails(p)
		}
		list = append(list, p)
	})
	r.im.each("eggs_sold", func(c *ImportColumn) {
		if n, found := r.whole(c, mostEggs); found && n > 0 {
			p := &EggsOut{Number: n, How: "sold"}
			if m := r.im.column("egg_income"); m != nil {
				p.ReceivedMinor, _ = r.minor(m)
			}
			list = append(list, p)
		}
	})
	r.im.each("eggs_eaten", func(c *ImportColumn) {
		if n, found := r.whole(c, mostEggs); found && n > 0 {
			list = append(list, &EggsOut{Number: n, How: "eaten"})
		}
	})
	return list
}

// eggDetails adds what belongs to the eggs of a line.
func (r *row) eggDetails(p *Eggs) {
	if c := r.im.column("broken"); c != nil {
		p.Broken, _ = r.whole(c, mostEggs)
	}
	if c := r.im.column("set_aside"); c != nil {
		p.SetAside, _ = r.whole(c, mostEggs)
	}
	if c := r.im.column("egg_weight"); c != nil {
		if kg, found := r.kg(c); found {
			p.MeanG = math.Round(kg*1e5) / 100
		}
	}
}

// How birds of a column came, went or were counted.
var (
	goneFields = []struct{ field, how string }{{"died", "died"}, {"taken", "taken"}, {"missing", "missing"}, {"culled", "culled"}, {"sold_birds", "sold"}}
	cameFields = []struct{ field, how string }{{"bought_birds", "bought"}, {"hatched", "hatched"}}
	seenFields = []struct{ field, which string }{{"hens", Hens}, {"cocks", Cocks}, {"birds", ""}}
)

func (r *row) birds() []Payload {
	var list []Payload
	group := func(c *ImportColumn) (ID, bool) {
		id := r.group(c)
		if id.IsZero() {
			r.fail(c, errors.New("say to which group these birds belong, with a column for it or one name for the whole table"))
		}
		return id, !id.IsZero()
	}
	for _, f := range cameFields {
		r.im.each(f.field, func(c *ImportColumn) {
			if n, found := r.whole(c, mostBirds); found && n > 0 {
				if id, ok := group(c); ok {
					list = append(list, &BirdsIn{Group: id, Number: n, How: f.how, Pen: r.pen(c)})
				}
			}
		})
	}
	for _, f := range goneFields {
		r.im.each(f.field, func(c *ImportColumn) {
			if n, found := r.whole(c, mostBirds); found && n > 0 {
				if id, ok := group(c); ok {
					p := &BirdsOut{Group: id, Number: n, How: f.how, Pen: r.pen(c), Cause: r.text("cause")}
					if f.how == "taken" {
						p.Predator = r.text("predator")
					}
					list = append(list, p)
				}
			}
		})
	}
	r.im.each("butchered", func(c *ImportColumn) {
		if n, found := r.whole(c, mostBirds); found && n > 0 {
			if id, ok := group(c); ok {
				p := &Butchered{Group: id, Number: n, Pen: r.pen(c)}
				if w := r.im.column("dressed_weight"); w != nil {
					p.DressedKg, _ = r.kg(w)
				}
				list = append(list, p)
			}
		}
	})
	return list
}

// countedFlock is the group that is made from counts when none is named.
const countedFlock = "Hens of old records"

func (r *row) counts() []Payload {
	var list []Payload
	for _, f := range seenFields {
		r.im.each(f.field, func(c *ImportColumn) {
			n, found := r.whole(c, mostBirds)
			if !found {
				return
			}
			p := &Count{Number: n, Which: f.which, Pen: r.pen(c)}
			if r.groupName(c) != "" {
				p.Group = r.group(c)
			}
			if f.which == Hens {
				r.im.counted = true
				if r.im.o.FromCounts && r.err == nil {
					list = append(list, r.im.flockOf(n, p, r.on)...)
				}
			}
			list = append(list, p)
		})
	}
	return list
}

// flockOf makes the comings and goings that would explain a row of counts.
func (im *importer) flockOf(n int, p *Count, on measure.Date) []Payload {
	group := p.Group
	if group.IsZero() {
		group = im.groupNamed(countedFlock, "", on)
	}
	change := n - im.hens
	im.hens = n
	switch {
	case change > 0:
		return []Payload{&BirdsIn{Group: group, Number: change, How: "on hand", Pen: p.Pen, Note: "made from counts"}}
	case change < 0:
		return []Payload{&BirdsOut{Group: group, Number: -change, How: "not known", Pen: p.Pen, Note: "made from counts"}}
	}
	return nil
}

// usualFeedName is the feed of tables that name none.
const usualFeedName = "feed"

func (r *row) feed() []Payload {
	var list []Payload
	name := r.text("feed_name")
	if name == "" {
		name = usualFeedName
	}
	add := func(field, what string) {
		r.im.each(field, func(c *ImportColumn) {
			if kg, found := r.kg(c); found && kg > 0 {
				p := &Feed{What: what, Feed: name, Kg: kg, Pen: r.pen(c)}
				if what == FeedBought {
					r.paid(p)
				}
				list = append(list, p)
			}
		})
	}
	add("feed_bought", FeedBought)
	add("feed", FeedOpened)
	if r.im.column("feed_bought") == nil {
		if c := r.im.column("feed_price"); c != nil {
			if m, found := r.minor(c); found {
				list = append(list, &Money{Way: "out", AmountMinor: m, For: "feed"})
			}
		}
	}
	return list
}

func (r *row) paid(p *Feed) {
	if c := r.im.column("feed_price"); c != nil {
		p.PaidMinor, _ = r.minor(c)
	}
}

func (r *row) weights() []Payload {
	var list []Payload
	r.im.each("live_weight", func(c *ImportColumn) {
		if kg, found := r.kg(c); found {
			id := r.group(c)
			if id.IsZero() {
				r.fail(c, errors.New("say to which group the weighed birds belong"))
				return
			}
			list = append(list, &Weighing{Group: id, MeanG: math.Round(kg*1e4) / 10})
		}
	})
	return list
}

func (r *row) money() []Payload {
	var list []Payload
	what := r.text("money_for")
	add := func(field, way, usual string) {
		r.im.each(field, func(c *ImportColumn) {
			if m, found := r.minor(c); found {
				p := &Money{Way: way, AmountMinor: m, For: what}
				if p.For == "" || field == "egg_income" {
					p.For = usual
				}
				list = append(list, p)
			}
		})
	}
	add("money_out", "out", "other")
	add("money_in", "in", "other")
	if r.im.column("eggs_sold") == nil {
		add("egg_income", "in", "eggs")
	}
	return list
}

package report

import (
	"cmp"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"henyear/measure"
	"henyear/plan"
	"henyear/source"
)

// The name of a breed is wrapped within these widths in columns.
const (
	narrowestName = 16
	widestName    = 26
)

// BreedsText writes the household's year with each breed for a terminal of the
// given width in columns, in groups: those to be had, those that suit, pairs of a
// layer and a meat bird, and crosses of the hens on hand; each cheapest first. A
// breed that neither suits nor can be had gets a line with the reason instead,
// or with all its figures too. A cross is always shown: the hens are there. It
// returns the error of the writer.
func BreedsText(w io.Writer, breeds []plan.BreedYear, all bool, c measure.Currency, u measure.Units, width int) error {
	s := newSheet(width)
	s.heading(say("text.breeds"))
	s.paragraph("", "", say("text.breeds.lead", c.Code))
	groups, short := groupBreeds(breeds, all)
	if len(short) > 0 {
		s.paragraph("", "", say("text.breeds.few", Number(float64(len(breeds)), 0), Number(float64(len(breeds)-len(short)), 0)))
	}
	if len(breeds) > 0 && !slices.ContainsFunc(breeds, func(b plan.BreedYear) bool { return b.Suits }) {
		s.paragraph("", "", say("text.breeds.none"))
	}
	figures := breedFigures(c, u)
	for _, g := range groups {
		if len(g.list) > 0 {
			s.heading(g.title)
			s.breedTable(g.list, figures, u)
		}
	}
	if len(short) > 0 {
		s.heading(say("text.breeds.short"))
		for _, b := range short {
			s.paragraph("- ", "  ", b.Name+": "+shortVerdict(b))
		}
	}
	s.sourcesOf(groups, short)
	return s.to(w)
}

type breedGroup struct {
	title string
	list  []plan.BreedYear
}

// groupBreeds parts the breeds into those whose figures are shown, by group, and
// those that get a line. Shown ones stand by cost, the others by name.
func groupBreeds(breeds []plan.BreedYear, all bool) (groups []breedGroup, short []plan.BreedYear) {
	groups = []breedGroup{{title: say("text.breeds.to_be_had")}, {title: say("text.breeds.suit")},
		{title: say("text.breeds.pairs")}, {title: say("text.breeds.crosses")}, {title: say("text.breeds.others")}}
	for _, b := range breeds {
		at := 4
		cross := strings.Contains(b.ID, "-x-")
		switch {
		case !all && !b.Available && !b.Suits && !cross:
			short = append(short, b)
			continue
		case strings.Contains(b.ID, "+"):
			at = 2
		case cross:
			at = 3
		case b.Available:
			at = 0
		case b.Suits:
			at = 1
		}
		groups[at].list = append(groups[at].list, b)
	}
	for _, g := range groups {
		slices.SortStableFunc(g.list, func(a, b plan.BreedYear) int {
			return cmp.Or(cmp.Compare(a.Cost, b.Cost), strings.Compare(a.Name, b.Name))
		})
	}
	slices.SortStableFunc(short, func(a, b plan.BreedYear) int { return strings.Compare(a.Name, b.Name) })
	return groups, short
}

// breedFigure is one figure of a breed on the terminal.
type breedFigure struct {
	name  string
	write func(plan.BreedYear) string
}

// breedFigures lists all figures; the second half stands below the first where
// there is no room beside it. Thousands stand without a gap: between figures
// that stand so close it would part one figure in two.
func breedFigures(c measure.Currency, u measure.Units) []breedFigure {
	number := func(x float64, decimals int) string {
		return strings.ReplaceAll(Number(x, decimals), "\u202f", "")
	}
	kg := func(x float64) string { v, _ := u.Show(measure.MassKg, x); return number(v, 0) }
	price := func(x float64) string {
		if x == 0 {
			return "–" // none of it comes from this breed
		}
		return number(x, c.Exponent)
	}
	perKg := 1.0
	if u == measure.US {
		perKg = measure.KgPerPound
	}
	whole := func(code string, value func(plan.BreedYear) float64) breedFigure {
		return breedFigure{say(code), func(b plan.BreedYear) string { return number(value(b), 0) }}
	}
	unit := Unit(u, measure.MassKg)
	return []breedFigure{
		whole("text.breed.lean", func(b plan.BreedYear) float64 { return b.LeanestEggs }),
		whole("text.breed.best", func(b plan.BreedYear) float64 { return b.BestEggs }),
		{say("text.breed.meat", unit), func(b plan.BreedYear) string { return kg(b.DressedKg) }},
		whole("text.breed.hens", func(b plan.BreedYear) float64 { return b.Hens }),
		whole("text.breed.cocks", func(b plan.BreedYear) float64 { return b.Cocks }),
		whole("text.breed.hatched", func(b plan.BreedYear) float64 { return b.Hatched }),
		whole("text.breed.bought", func(b plan.BreedYear) float64 { return b.Bought }),
		{say("text.breed.renews"), func(b plan.BreedYear) string {
			if b.RenewsItself {
				return say("text.yes")
			}
			return say("text.no")
		}},
		whole("text.breed.cost", func(b plan.BreedYear) float64 { return b.Cost }),

		{say("text.breed.feed", unit), func(b plan.BreedYear) string { return kg(b.FeedKg) }},
		whole("text.breed.feed_cost", func(b plan.BreedYear) float64 { return b.FeedCost }),
		{say("text.breed.dozen"), func(b plan.BreedYear) string { return price(b.CostPerDozen) }},
		{say("text.breed.per", unit), func(b plan.BreedYear) string { return price(b.CostPerKg * perKg) }},
		whole("text.breed.minutes", func(b plan.BreedYear) float64 { return b.MinutesAWeek }),
		{say("text.breed.comb"), CombNights},
		whole("text.breed.heat", func(b plan.BreedYear) float64 { return b.HeatDays }),
		{say("text.breed.lost"), func(b plan.BreedYear) string { return number(b.LostRaids, 1) }},
	}
}

// breedLayout is how the figures of a breed stand: in one line where there is
// room, else in two or three, one figure below another.
type breedLayout struct {
	name   int // columns for the name
	widths []int
	rows   [][]breedFigure
}

func (s *sheet) layOut(list []plan.BreedYear, figures []breedFigure) breedLayout {
	var l breedLayout
	for lines := 1; lines <= 3; lines++ {
		l.rows = slices.Collect(slices.Chunk(figures, (len(figures)+lines-1)/lines))
		l.widths = breedWidths(list, l.rows)
		room := s.width
		for _, w := range l.widths {
			room -= 1 + w
		}
		l.name = min(widestName, max(narrowestName, room))
		if room >= narrowestName {
			break
		}
	}
	return l
}

// breedTable writes a group of breeds: the heads once, then for each breed its
// figures and below them why it suits or not, and what the place does to it.
func (s *sheet) breedTable(list []plan.BreedYear, figures []breedFigure, u measure.Units) {
	l := s.layOut(list, figures)
	for _, row := range l.rows {
		for _, cells := range breedHeads(row) {
			s.breedLine("", l, cells)
		}
	}
	s.breedLine(strings.Repeat("-", l.name), l, rules(l.widths))
	for i, b := range list {
		if i > 0 {
			s.line("")
		}
		s.breedFigures(b, l)
		s.paragraph("  ", "  ", longVerdict(b))
		if body := BreedBody(b, u); body != "" {
			s.paragraph("  ", "  ", body)
		}
	}
}

// breedFigures writes the name of a breed with its figures beside it.
func (s *sheet) breedFigures(b plan.BreedYear, l breedLayout) {
	names := wrap(b.Name+breedSigns(b), l.name)
	for i := range max(len(l.rows), len(names)) {
		name, cells := "", []string(nil)
		if i < len(names) {
			name = names[i]
		}
		if i < len(l.rows) {
			for _, f := range l.rows[i] {
				cells = append(cells, f.write(b))
			}
		}
		s.breedLine(name, l, cells)
	}
}

// breedHeads breaks the heads of a row of figures into lines.
func breedHeads(row []breedFigure) [][]string {
	broken := make([][]string, len(row))
	most := 0
	for i, f := range row {
		broken[i] = headWords(f.name)
		most = max(most, len(broken[i]))
	}
	lines := make([][]string, most)
	for l := range lines {
		lines[l] = make([]string, len(row))
		for i, words := range broken {
			if k := l - (most - len(words)); k >= 0 {
				lines[l][i] = words[k]
			}
		}
	}
	return lines
}

// headWords breaks one head so that it is hardly wider than its longest word.
func headWords(name string) []string {
	longest := 6
	for _, word := range strings.Fields(name) {
		longest = max(longest, utf8.RuneCountInString(word))
	}
	return wrap(name, longest)
}

func breedSigns(b plan.BreedYear) string {
	signs := ""
	if b.Undominated {
		signs += "*"
	}
	if b.Available {
		signs += "+"
	}
	if signs == "" {
		return ""
	}
	return "\u00a0" + signs
}

// breedWidths is how wide each column must be for its heads and figures.
func breedWidths(list []plan.BreedYear, rows [][]breedFigure) []int {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, f := range row {
			for _, part := range headWords(f.name) {
				widths[i] = max(widths[i], utf8.RuneCountInString(part))
			}
			for _, b := range list {
				widths[i] = max(widths[i], utf8.RuneCountInString(f.write(b)))
			}
		}
	}
	return widths
}

func rules(widths []int) []string {
	list := make([]string, len(widths))
	for i, n := range widths {
		list[i] = strings.Repeat("-", n)
	}
	return list
}

func (s *sheet) breedLine(name string, l breedLayout, cells []string) {
	line := name + strings.Repeat(" ", max(0, l.name-utf8.RuneCountInString(name)))
	for i, cell := range cells {
		line += strings.Repeat(" ", 1+max(0, l.widths[i]-utf8.RuneCountInString(cell))) + cell
	}
	s.line(line)
}

// A Verdict is why a breed suits or not, in parts, so that each reason can stand
// with its own source.
type Verdict struct {
	Begin   string          // such as "Suits"; the whole sentence when Reasons is empty
	Source  string          // of the whole sentence, when Reasons is empty
	Reasons []plan.Sentence // those that decide
	Besides []plan.Sentence // what else the year with this breed shows
}

// VerdictOn takes the verdict on a breed apart.
func VerdictOn(b plan.BreedYear) Verdict {
	v := Verdict{Begin: b.Verdict.Text, Source: b.Verdict.Source}
	begin, text, found := strings.Cut(b.Verdict.Text, ": ")
	for _, r := range b.Reasons {
		if found && strings.Contains(text, r.Text) {
			v.Reasons = append(v.Reasons, r)
		} else {
			v.Besides = append(v.Besides, r)
		}
	}
	if len(v.Reasons) > 0 {
		v.Begin, v.Source = begin, ""
	}
	return v
}

// longVerdict is the verdict with the source of each reason, and after it what
// else there is to say.
func longVerdict(b plan.BreedYear) string {
	v := VerdictOn(b)
	text := withSource(plan.Sentence{Text: v.Begin, Source: v.Source})
	if len(v.Reasons) > 0 {
		text += ": " + joinReasons(v.Reasons) + "."
	}
	if len(v.Besides) > 0 {
		text += " " + say("text.breeds.besides", joinReasons(v.Besides))
	}
	return text
}

// shortVerdict is why a breed does not suit, for a list of those that do not.
func shortVerdict(b plan.BreedYear) string {
	v := VerdictOn(b)
	if len(v.Reasons) == 0 {
		return withSource(b.Verdict)
	}
	return joinReasons(v.Reasons) + "."
}

func joinReasons(list []plan.Sentence) string {
	texts := make([]string, len(list))
	for i, r := range list {
		texts[i] = withSource(plan.Sentence{Text: strings.TrimSuffix(r.Text, "."), Source: r.Source})
	}
	return strings.Join(texts, "; ")
}

func withSource(t plan.Sentence) string {
	if t.Source == "" {
		return t.Text
	}
	return t.Text + " [" + t.Source + "]"
}

// sourcesOf spells out the keys that stand behind the reasons.
func (s *sheet) sourcesOf(groups []breedGroup, short []plan.BreedYear) {
	var keys []string
	note := func(list []plan.BreedYear) {
		for _, b := range list {
			keys = append(keys, b.Verdict.Source)
			for _, r := range b.Reasons {
				keys = append(keys, r.Source)
			}
		}
	}
	for _, g := range groups {
		note(g.list)
	}
	note(short)
	slices.Sort(keys)
	keys = slices.DeleteFunc(slices.Compact(keys), func(key string) bool { return key == "" })
	if len(keys) == 0 {
		return
	}
	s.heading(say("text.breeds.keys"))
	for _, key := range keys {
		if entry, known := source.Lookup(key); known {
			s.paragraph("", "  ", key+": "+entry.Text)
		}
	}
}

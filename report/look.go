package report

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// A look is how one kind of mark is drawn. Light colours are written as
// attributes into every drawing, so that a file looks right on its own and in
// print; a page overrides them by class, for a dark screen.
type look struct {
	class       string
	fill        string // a name of the palette, "none" or empty
	stroke      string
	width       float64
	dash        string
	opacity     string
	fillPattern string // kind of pattern drawn over the fill
}

// A colour has one value on paper and one on a dark screen. Every pair of ink
// and paper keeps a contrast of at least 4.5 to 1 for text and 3 to 1 for
// marks.
type colour struct{ light, dark string }

var palette = map[string]colour{
	"paper":  {"#ffffff", "#14171a"},
	"ink":    {"#14181b", "#f1efe9"},
	"quiet":  {"#4b5257", "#b9bdbf"},
	"rule":   {"#d5d9da", "#3a4045"},
	"blue":   {"#15527f", "#7db9e8"},
	"pale":   {"#7ba6c4", "#4c7a9c"},
	"straw":  {"#a86a00", "#eeb54e"},
	"grass":  {"#2f6b34", "#82c785"},
	"barn":   {"#a8281c", "#ff9184"},
	"clay":   {"#7a5c46", "#c9a78c"},
	"stone":  {"#b9b6ab", "#5d6166"},
	"night":  {"#c9d3dc", "#262d35"},
	"day":    {"#fdf3cf", "#55503a"},
	"dusk":   {"#e6dfc6", "#3f4046"},
	"onfill": {"#ffffff", "#14171a"},
}

var looks = []look{
	{class: "rule", fill: "none", stroke: "rule", width: 1},
	{class: "axis", fill: "none", stroke: "quiet", width: 1},
	{class: "label", fill: "quiet"},
	{class: "strong", fill: "ink"},
	{class: "need", fill: "none", stroke: "ink", width: 1.6, dash: "6 3"},
	{class: "expect", fill: "none", stroke: "blue", width: 2.2},
	{class: "band", fill: "pale", opacity: "0.45"},
	{class: "lack", fill: "barn", opacity: "0.75"},
	{class: "cursor", fill: "none", stroke: "ink", width: 1.5},

	{class: "own", fill: "blue"},
	{class: "kept", fill: "pale", fillPattern: "level"},
	{class: "bought", fill: "barn", fillPattern: "cross"},
	{class: "setting", fill: "grass", fillPattern: "dots"},
	{class: "sold", fill: "straw", fillPattern: "rising"},
	{class: "frozen", fill: "pale", fillPattern: "upright"},
	{class: "later", fill: "pale", fillPattern: "dots"},
	{class: "spare", fill: "stone"},

	{class: "old", fill: "blue"},
	{class: "young", fill: "straw", fillPattern: "rising"},
	{class: "male", fill: "barn", fillPattern: "cross"},
	{class: "growing", fill: "grass", fillPattern: "dots"},
	{class: "chick", fill: "day", stroke: "quiet", width: 0.6},

	{class: "brood", fill: "none", stroke: "straw", width: 2.4, dash: "2 2"},
	{class: "lay", fill: "blue"},
	{class: "moult", fill: "clay"},
	{class: "halo", fill: "paper", opacity: "0.9"},
	{class: "blade", fill: "barn"},
	{class: "working", fill: "clay", fillPattern: "level"},
	{class: "leave", fill: "none", stroke: "straw", width: 3},

	{class: "warm", fill: "none", stroke: "barn", width: 2.2},
	{class: "cool", fill: "none", stroke: "blue", width: 2.2, dash: "7 2"},
	{class: "between", fill: "stone", opacity: "0.4"},
	{class: "frost", fill: "blue", fillPattern: "level"},
	{class: "hot", fill: "barn", fillPattern: "rising"},
	{class: "dark", fill: "night"},
	{class: "twilight", fill: "dusk"},
	{class: "sun", fill: "day"},
	{class: "window", fill: "none", stroke: "clay", width: 1.6, dash: "2 3"},
	{class: "edge", fill: "none", stroke: "straw", width: 2},

	{class: "feed", fill: "straw", fillPattern: "rising"},
	{class: "other", fill: "clay", fillPattern: "dots"},
	{class: "income", fill: "grass", fillPattern: "level"},
	{class: "money", fill: "none", stroke: "ink", width: 2.2},
	{class: "limit", fill: "none", stroke: "barn", width: 1.6, dash: "6 3"},
	{class: "fan", fill: "pale", opacity: "0.3"},
	{class: "half", fill: "pale", opacity: "0.75"},
	{class: "paper", fill: "paper"},
	{class: "ice", fill: "pale", fillPattern: "level"},
}

func lookOf(class string) look {
	i := slices.IndexFunc(looks, func(l look) bool { return l.class == class })
	if i < 0 {
		panic("no look named " + class)
	}
	return looks[i]
}

func light(name string) string {
	if name == "none" || name == "" {
		return name
	}
	return palette[name].light
}

// attributes writes the look as SVG attributes. prefix keeps the patterns of
// several drawings on one page apart.
func (l look) attributes(prefix string) string {
	var b strings.Builder
	fmt.Fprintf(&b, ` class="%s"`, l.class)
	switch {
	case l.fillPattern != "":
		fmt.Fprintf(&b, ` fill="url(#%s-%s)"`, prefix, l.class)
	case l.fill != "":
		fmt.Fprintf(&b, ` fill="%s"`, light(l.fill))
	}
	if l.stroke != "" {
		fmt.Fprintf(&b, ` stroke="%s" stroke-width="%s"`, light(l.stroke), short(l.width))
	}
	if l.dash != "" {
		fmt.Fprintf(&b, ` stroke-dasharray="%s"`, l.dash)
	}
	if l.opacity != "" {
		fmt.Fprintf(&b, ` fill-opacity="%s"`, l.opacity)
	}
	return b.String()
}

// Each pattern is a few strokes in the colour of the paper on the fill, so that
// areas differ in print and for an eye that does not part red from green.
var patternStrokes = map[string]string{
	"rising":  `<path d="M-2 2L2 -2M0 8L8 0M6 10L10 6"`,
	"level":   `<path d="M0 4H8"`,
	"upright": `<path d="M4 0V8"`,
	"cross":   `<path d="M0 0L8 8M8 0L0 8"`,
	"dots":    `<path d="M2 1.2v1.6M6 5.2v1.6"`,
}

// pattern writes the definition that a look with a pattern refers to.
func (l look) pattern(prefix string) string {
	width := "0.9"
	if l.fillPattern == "dots" {
		width = "1.6"
	}
	return fmt.Sprintf(`<pattern id="%s-%s" width="8" height="8" patternUnits="userSpaceOnUse"><rect class="f-%s" width="8" height="8" fill="%s"/>%s class="s-onfill" stroke="%s" stroke-width="%s" fill="none"/></pattern>`,
		prefix, l.class, l.fill, light(l.fill), patternStrokes[l.fillPattern], light("onfill"), width)
}

// StyleSheet is the sheet that gives the drawings of a page their colours on a
// light screen, on a dark one and on paper. Without it they are light.
func StyleSheet() []byte {
	var b bytes.Buffer
	names := make([]string, 0, len(palette))
	for name := range palette {
		names = append(names, name)
	}
	slices.Sort(names)
	vars := func(pick func(colour) string) {
		for _, name := range names {
			fmt.Fprintf(&b, "--draw-%s:%s;", name, pick(palette[name]))
		}
	}
	b.WriteString(":root{")
	vars(func(c colour) string { return c.light })
	b.WriteString("}\n@media screen and (prefers-color-scheme:dark){:root{")
	vars(func(c colour) string { return c.dark })
	b.WriteString("}}\n")
	for _, name := range names {
		fmt.Fprintf(&b, ".drawing .f-%[1]s{fill:var(--draw-%[1]s)}.drawing .s-%[1]s{stroke:var(--draw-%[1]s)}\n", name)
	}
	for _, l := range looks {
		fmt.Fprintf(&b, ".drawing .%s{", l.class)
		if l.fillPattern == "" && l.fill != "" && l.fill != "none" {
			fmt.Fprintf(&b, "fill:var(--draw-%s);", l.fill)
		}
		if l.stroke != "" {
			fmt.Fprintf(&b, "stroke:var(--draw-%s);", l.stroke)
		}
		b.WriteString("}\n")
	}
	return b.Bytes()
}

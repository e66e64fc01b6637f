package report

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// A Drawing is one picture with its message in words and the table of the same
// figures. It is drawn twice, wide for a laptop or paper and narrow for a
// phone, so that its words stay readable on both.
type Drawing struct {
	Name  string // plain letters, the name of its file
	Title string
	Desc  string // what the picture says, in full sentences
	Table Table

	wide, narrow []byte
}

// Width is one of the two widths a drawing comes in.
type Width int

const (
	Wide   Width = 720 // units are CSS pixels
	Narrow Width = 350
)

// SVG is the drawing as a complete SVG file, the same bytes on a page, on paper
// and on disk.
func (d Drawing) SVG(w Width) []byte {
	if w == Narrow {
		return d.narrow
	}
	return d.wide
}

// Inline is the drawing for a page. Everything in it was escaped when drawn.
func (d Drawing) Inline(w Width) template.HTML { return template.HTML(d.SVG(w)) }

// WideSVG and NarrowSVG are Inline at one width, for templates.
func (d Drawing) WideSVG() template.HTML   { return d.Inline(Wide) }
func (d Drawing) NarrowSVG() template.HTML { return d.Inline(Narrow) }

// Empty reports whether there was nothing to draw.
func (d Drawing) Empty() bool { return len(d.Table.Rows) == 0 }

// A Table is rows of figures already written for the reader. The first column
// names the row.
type Table struct {
	Caption string
	Head    []Column
	Rows    [][]string
}

// Column heads a column. Figures stand to the right, words to the left.
type Column struct {
	Name string
	Word bool
}

// draw makes both widths of a drawing with the same hand.
func draw(name, title, desc string, table Table, hand func(p *pen)) Drawing {
	d := Drawing{Name: name, Title: title, Desc: desc, Table: table}
	if len(table.Rows) == 0 {
		return d
	}
	d.wide = drawAt(name, title, desc, Wide, hand)
	d.narrow = drawAt(name, title, desc, Narrow, hand)
	return d
}

func drawAt(name, title, desc string, w Width, hand func(p *pen)) []byte {
	p := &pen{width: float64(w), id: name + "-w"}
	if w == Narrow {
		p.id = name + "-n"
	}
	hand(p)
	return p.finish(title, desc)
}

// short writes a coordinate with one decimal at most: a tenth of a pixel is
// finer than any eye or printer.
func short(x float64) string {
	return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64)
}

// A pen draws into one SVG. Coordinates are pixels from the upper left corner.
type pen struct {
	id            string
	width, height float64
	body          bytes.Buffer
	defined       []string
	slots         *slots
}

// slots say where the rows of the table stand across the drawing, for the
// reader's pointer.
type slots struct {
	left, right, top, bottom float64
	count                    int
}

func (p *pen) narrow() bool { return p.width < 500 }

func (p *pen) look(class string) string {
	l := lookOf(class)
	if l.fillPattern != "" {
		p.define(l.pattern(p.id))
	}
	return l.attributes(p.id)
}

func (p *pen) define(def string) {
	for _, have := range p.defined {
		if have == def {
			return
		}
	}
	p.defined = append(p.defined, def)
}

func (p *pen) rect(class string, x, y, w, h float64) {
	if w <= 0 || h <= 0 {
		return
	}
	fmt.Fprintf(&p.body, `<rect%s x="%s" y="%s" width="%s" height="%s"/>`, p.look(class), short(x), short(y), short(w), short(h))
}

func (p *pen) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&p.body, `<path%s d="M%s %sL%s %s"/>`, p.look(class), short(x1), short(y1), short(x2), short(y2))
}

func (p *pen) path(class, d string) {
	if d != "" {
		fmt.Fprintf(&p.body, `<path%s d="%s"/>`, p.look(class), d)
	}
}

// text writes words at (x, y); anchor is start, middle or end.
func (p *pen) text(class, anchor string, x, y float64, words string) {
	fmt.Fprintf(&p.body, `<text%s x="%s" y="%s"`, p.look(class), short(x), short(y))
	if anchor != "start" {
		fmt.Fprintf(&p.body, ` text-anchor="%s"`, anchor)
	}
	fmt.Fprintf(&p.body, `>%s</text>`, html.EscapeString(words))
}

const textPx = 12

// textWidth guesses the width of words in the drawing's type: enough to keep
// legends from running into each other.
func textWidth(words string) float64 {
	return float64(len([]rune(words))) * textPx * 0.56
}

// A key is one entry of a legend.
type key struct {
	class string
	words string
	line  bool
}

// legend writes the keys from (x, y) on, in as many lines as they need, and
// returns the y below them.
func (p *pen) legend(x, y float64, keys []key) float64 {
	at := x
	for _, k := range keys {
		w := 18 + 5 + textWidth(k.words) + 14
		if at > x && at+w-14 > p.width {
			at = x
			y += 19
		}
		if k.line {
			p.line(k.class, at, y+6, at+18, y+6)
		} else {
			p.rect(k.class, at, y, 18, 12)
		}
		p.text("strong", "start", at+23, y+10.5, k.words)
		at += w
	}
	return y + 19 + 6
}

// finish closes the drawing.
func (p *pen) finish(title, desc string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%[1]s" height="%[2]s" role="img" aria-labelledby="%[3]s-t" aria-describedby="%[3]s-d" font-family="system-ui, sans-serif" font-size="%[4]d"`,
		short(p.width), short(p.height), p.id, textPx)
	if s := p.slots; s != nil {
		fmt.Fprintf(&b, ` data-left="%s" data-right="%s" data-count="%d"`, short(s.left), short(s.right), s.count)
	}
	fmt.Fprintf(&b, `><title id="%[1]s-t">%s</title><desc id="%[1]s-d">%s</desc>`, p.id, html.EscapeString(title), html.EscapeString(desc))
	if len(p.defined) > 0 {
		fmt.Fprintf(&b, `<defs>%s</defs>`, strings.Join(p.defined, ""))
	}
	b.Write(p.body.Bytes())
	if s := p.slots; s != nil {
		fmt.Fprintf(&b, `<path%s visibility="hidden" d="M0 %sV%s"/>`, p.look("cursor"), short(s.top), short(s.bottom))
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

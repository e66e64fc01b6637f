package report

import (
	"archive/zip"
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"henyear/measure"
)

// binder puts leaves into a file.
type binder struct {
	file     *excelize.File
	currency measure.Currency
	units    measure.Units
	styles   map[leafLook]int
	taken    map[string]bool // tabs, in small letters
}

// leafLook is what the style of a cell hangs on.
type leafLook struct {
	kind kind
	role role
	user bool // a text that was typed in: never taken for a formula, also after it is edited
}

// role is what a cell is for.
type role int

const (
	figureCell role = iota
	titleCell
	noteCell
	headCell    // of figures
	reckonHead  // of formulas
	footCell    // sums and means
	labelCell   // of About
	wrappedCell // long text
)

func newBinder(c measure.Currency, u measure.Units) (*binder, error) {
	b := &binder{excelize.NewFile(), c, u, map[leafLook]int{}, map[string]bool{}}
	return b, b.file.SetSheetName("Sheet1", b.tab("about"))
}

// tab finds a free name for a page.
func (b *binder) tab(code string) string {
	name := tabName(say("sheet."+code), func(name string) bool { return b.taken[strings.ToLower(name)] })
	b.taken[strings.ToLower(name)] = true
	return name
}

func (b *binder) newPage(code string, g Grid) *leaf {
	return &leaf{name: b.tab(code), title: say("sheet." + code), note: say("sheet." + code + ".note"), grid: g.without("currency"), units: b.units}
}

// style makes the style of a look once.
func (b *binder) style(l leafLook) (int, error) {
	if id, made := b.styles[l]; made {
		return id, nil
	}
	s := &excelize.Style{Alignment: &excelize.Alignment{Vertical: "top"}}
	if l.kind == asText && l.role == figureCell {
		s.Alignment.Indent, s.Alignment.Horizontal = 1, "left" // a text does not run into the figure before it
	}
	if f := numberFormat(l.kind, b.currency); f != "" {
		s.CustomNumFmt = &f
	}
	line := func(side string) []excelize.Border {
		return []excelize.Border{{Type: side, Color: "808080", Style: 1}}
	}
	switch l.role {
	case titleCell:
		s.Font = &excelize.Font{Bold: true, Size: 14}
	case noteCell:
		s.Font = &excelize.Font{Italic: true, Color: "404040"}
	case headCell, reckonHead:
		s.Font = &excelize.Font{Bold: true}
		s.Alignment = &excelize.Alignment{WrapText: true, Vertical: "bottom"}
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E3EAF0"}}
		if l.role == reckonHead {
			s.Fill.Color = []string{"F3E7CF"}
		}
		if s.Alignment.Horizontal = "right"; l.kind == asText || l.kind == asFlag {
			s.Alignment.Horizontal, s.Alignment.Indent = "left", 1
		}
		s.Border = line("bottom")
		s.CustomNumFmt = nil
	case footCell:
		s.Font, s.Border = &excelize.Font{Bold: true}, line("top")
	case labelCell:
		s.Font = &excelize.Font{Bold: true}
		s.Alignment.WrapText = true
	case wrappedCell:
		s.Alignment.WrapText = true
	}
	id, err := b.file.NewStyle(s)
	if err != nil {
		return 0, err
	}
	if l.user {
		yes := true
		b.file.Styles.CellXfs.Xf[id].QuotePrefix = &yes
	}
	b.styles[l] = id
	return id, nil
}

// numberFormat writes figures rounded; the cell keeps them whole.
func numberFormat(k kind, c measure.Currency) string {
	switch k {
	case asDay:
		return "yyyy\\-mm\\-dd"
	case asWhole:
		return "#,##0"
	case asNumber, asMass, asRoom, asWater:
		return "#,##0.0"
	case asShare:
		return "0.0%"
	case asMoney:
		format := "#,##0"
		if c.Exponent > 0 {
			format += "." + strings.Repeat("0", c.Exponent)
		}
		if c.Code != "" {
			format += `\ "` + c.Code + `"`
		}
		return format
	}
	return ""
}

// pageSigns is how many signs of width a page on its side can show and still be
// read at arm's length.
const pageSigns = 200

// fixed is how many columns stay in sight and are printed on every page.
func (p *leaf) fixed() int {
	if len(p.grid.Fields) > 1 && p.grid.Fields[0].Kind == asText && (p.grid.Fields[1].Kind == asDay || p.grid.Fields[1].Name == "name") {
		return 2
	}
	return 1
}

// printing sets up paper: A4 or letter, on its side, as many pages wide as can
// be read, with the headings and the first columns on every page.
func (b *binder) printing(name string, headings, columns, width int) error {
	paper, height, orientation := 9, 0, "landscape"
	if b.units == measure.US {
		paper = 1
	}
	fit := true
	err := errors.Join(
		b.file.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &orientation, FitToWidth: &width, FitToHeight: &height}),
		b.file.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}),
		b.file.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&F&C&A&R&P / &N"}),
	)
	if headings > 0 {
		quoted := "'" + strings.ReplaceAll(name, "'", "''") + "'"
		row := strconv.Itoa(headings)
		titles := quoted + "!$A:$" + letters(columns-1) + "," + quoted + "!$" + row + ":$" + row
		err = errors.Join(err, b.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: titles, Scope: name}))
	}
	return err
}

// write makes the sheet of a page.
func (b *binder) write(p *leaf) error {
	if _, err := b.file.NewSheet(p.name); err != nil {
		return err
	}
	signs := 0.0
	for i, f := range p.grid.Fields {
		signs += p.width(i, f)
	}
	if err := b.printing(p.name, headRow, p.fixed(), int(math.Ceil(signs/pageSigns))); err != nil {
		return err
	}
	all := "A1:" + letters(len(p.grid.Fields)-1) + strconv.Itoa(p.last()+len(p.feet))
	if err := b.file.SetSheetDimension(p.name, all); err != nil {
		return err
	}
	out, err := b.file.NewStreamWriter(p.name)
	if err != nil {
		return err
	}
	for i, f := range p.grid.Fields {
		if err := out.SetColWidth(i+1, i+1, p.width(i, f)); err != nil {
			return err
		}
	}
	fixed := p.fixed()
	corner := letters(fixed) + strconv.Itoa(p.first())
	err = out.SetPanes(&excelize.Panes{Freeze: true, XSplit: fixed, YSplit: headRows, TopLeftCell: corner, ActivePane: "bottomRight",
		Selection: []excelize.Selection{{SQRef: corner, ActiveCell: corner, Pane: "bottomRight"}}})
	if err != nil {
		return err
	}
	if err := b.heading(out, p); err != nil {
		return err
	}
	for i, row := range p.grid.Rows {
		cells := make([]any, len(row))
		for k, v := range row {
			formula := ""
			if make := p.formula[p.grid.Fields[k].Name]; make != nil {
				formula = make(leafRow{p, p.first() + i})
			}
			if cells[k], err = b.cell(p, p.grid.Fields[k].Kind, v, formula); err != nil {
				return err
			}
		}
		if err := out.SetRow("A"+strconv.Itoa(p.first()+i), cells); err != nil {
			return err
		}
	}
	if err := b.feet(out, p); err != nil {
		return err
	}
	return out.Flush()
}

func (b *binder) heading(out *excelize.StreamWriter, p *leaf) error {
	title, err1 := b.style(leafLook{asText, titleCell, false})
	note, err2 := b.style(leafLook{asText, noteCell, false})
	cells := make([]any, len(p.grid.Fields))
	lines := 1.0
	for i, f := range p.grid.Fields {
		r := headCell
		if p.formula[f.Name] != nil {
			r = reckonHead
		}
		id, err := b.style(leafLook{f.Kind, r, false})
		if err != nil {
			return err
		}
		text := heading(p.units, f, p.grid.Currency)
		lines = max(lines, linesOf(text, p.width(i, f)))
		cells[i] = excelize.Cell{StyleID: id, Value: text}
	}
	return errors.Join(err1, err2,
		out.SetRow("A1", []any{excelize.Cell{StyleID: title, Value: p.title}}, excelize.RowOpts{Height: 21}),
		out.SetRow("A2", []any{excelize.Cell{StyleID: note, Value: p.note}}),
		out.SetRow("A"+strconv.Itoa(headRow), cells, excelize.RowOpts{Height: 4 + 14*min(lines, 6)}))
}

// linesOf is how many lines a bold heading takes in a column.
func linesOf(text string, width float64) float64 {
	lines, room := 1.0, width-1.5
	for _, word := range strings.Fields(text) {
		n := float64(len([]rune(word))) + 1
		if room < n && room < width-1.5 {
			lines, room = lines+1, width-1.5
		}
		room -= n
	}
	return lines
}

// cell makes one cell of figures.
func (b *binder) cell(p *leaf, k kind, v any, formula string) (any, error) {
	look := leafLook{kind: k}
	value := v
	switch x := v.(type) {
	case nil:
		if formula == "" {
			return nil, nil
		}
	case string:
		value = cellText(x)
		look.user = k == asText
		look.kind = asText
	case bool:
		value = yes(x)
	case int:
		if k == asNumber {
			look.kind = asWhole
		}
	case float64:
		if !finite(x) {
			return nil, nil
		}
		value = shown(p.units, k, x)
	case measure.Money:
		value = p.grid.Currency.Amount(x)
	case measure.Date:
		if value = serial(x); value == 0 {
			if x.IsZero() {
				return nil, nil
			}
			value = x.String()
		}
	}
	id, err := b.style(look)
	return excelize.Cell{StyleID: id, Formula: formula, Value: value}, err
}

// feet writes the sums and means of a page.
func (b *binder) feet(out *excelize.StreamWriter, p *leaf) error {
	if len(p.grid.Rows) == 0 {
		return nil
	}
	for n, foot := range p.feet {
		cells := make([]any, len(p.grid.Fields))
		for i, f := range p.grid.Fields {
			look := leafLook{f.Kind, footCell, false}
			var value any
			formula := ""
			switch {
			case i == 0:
				value, look.kind = foot.words, asText
			case slices.Contains(foot.fields, f.Name):
				c := letters(i)
				formula = foot.function + "(" + c + strconv.Itoa(p.first()) + ":" + c + strconv.Itoa(p.last()) + ")"
				list := p.shownColumn(i)
				if len(list) == 0 {
					formula = "" // nothing to add up, and a mean of nothing is a fault
					break
				}
				if look.kind == asShare && foot.function == "SUM" || look.kind == asWhole && foot.function == "AVERAGE" {
					look.kind = asNumber
				}
				value = foot.reckon(list)
			}
			id, err := b.style(look)
			if err != nil {
				return err
			}
			cells[i] = excelize.Cell{StyleID: id, Formula: formula, Value: value}
		}
		if err := out.SetRow("A"+strconv.Itoa(p.last()+1+n), cells); err != nil {
			return err
		}
	}
	return nil
}

// shownColumn is all figures of a column in the units of the workbook.
func (p *leaf) shownColumn(i int) []float64 {
	var list []float64
	for _, row := range p.grid.Rows {
		if row[i] != nil {
			list = append(list, shown(p.units, p.grid.Fields[i].Kind, p.grid.float(row[i])))
		}
	}
	return list
}

// width is how wide a column is, in signs.
func (p *leaf) width(i int, f Field) float64 {
	switch f.Kind {
	case asDay:
		return 12
	case asMoney:
		return 14
	case asText:
		longest := 8
		for _, row := range p.grid.Rows {
			if text, ok := row[i].(string); ok {
				longest = max(longest, min(len([]rune(text)), 60))
			}
		}
		return float64(longest) + 2
	}
	return 12.5
}

// finish writes the file. The parts stand in a fixed order and bear no time, so
// that the same workbook has the same bytes.
func (b *binder) finish(w io.Writer, in WorkbookInput) error {
	if err := b.file.SetAppProps(&excelize.AppProperties{Application: say("workbook.program")}); err != nil {
		return err
	}
	b.file.SetActiveSheet(0)
	var made bytes.Buffer
	if err := b.file.Write(&made); err != nil {
		return err
	}
	parts, err := zip.NewReader(bytes.NewReader(made.Bytes()), int64(made.Len()))
	if err != nil {
		return err
	}
	slices.SortFunc(parts.File, func(a, b *zip.File) int {
		return cmp.Or(cmp.Compare(placeOf(a.Name), placeOf(b.Name)), cmp.Compare(a.Name, b.Name))
	})
	out := zip.NewWriter(w)
	for _, part := range parts.File {
		to, err := out.CreateHeader(&zip.FileHeader{Name: part.Name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if part.Name == "docProps/core.xml" {
			if err := coreProperties(to, in); err != nil {
				return err
			}
			continue
		}
		from, err := part.Open()
		if err != nil {
			return err
		}
		if _, err := io.Copy(to, from); err != nil {
			return err
		}
	}
	return out.Close()
}

// placeOf puts the list of contents first, as readers of streams expect it.
func placeOf(name string) int {
	switch name {
	case "[Content_Types].xml":
		return 0
	case "_rels/.rels":
		return 1
	}
	return 2
}

// coreProperties says what the file is (ECMA-376 part 2, 11). Its only time is
// the day for which was planned. It is written here with the usual prefixes, for
// readers that look for these and not for what they stand for.
func coreProperties(w io.Writer, in WorkbookInput) error {
	day := in.Plan.AsOf
	if day.IsZero() {
		day = measure.Date{Year: 2000, Month: 1, Day: 1}
	}
	var title bytes.Buffer
	if err := xml.EscapeText(&title, []byte(cellText(say("workbook.title", in.Holding.Name)))); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" xmlns:dcmitype="http://purl.org/dc/dcmitype/" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>%s</dc:title><dc:creator>%s</dc:creator><dcterms:created xsi:type="dcterms:W3CDTF">%[3]sT00:00:00Z</dcterms:created><dcterms:modified xsi:type="dcterms:W3CDTF">%[3]sT00:00:00Z</dcterms:modified></cp:coreProperties>`,
		title.Bytes(), say("workbook.program"), day)
	return err
}

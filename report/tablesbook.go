package report

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"henyear/daybook"
	"henyear/measure"
)

// PaymentsGrid has one row for each payment of a book.
func PaymentsGrid(b *daybook.Book, c measure.Currency) Grid {
	g := Grid{Name: "payments", Currency: c, Fields: []Field{{"date", asDay}, {"paid_for", asText}, {"group", asText}, {"paid", asMoney}, {"received", asMoney}}}
	for _, p := range b.Payments() {
		g.Rows = append(g.Rows, []any{p.On, p.For, p.Group, p.Paid, p.Received})
	}
	return g
}

// RecordsGrid has one row for each record that counts, in words.
func RecordsGrid(b *daybook.Book, c measure.Currency) Grid {
	g := Grid{Name: "records", Currency: c, Fields: joined([]Field{{"date", asDay}}, fields(asText, "record", "told", "author"))}
	for _, r := range b.Records {
		g.Rows = append(g.Rows, []any{r.Event.HappenedOn, kindTitle(r.Event.Kind), b.Describe(r.Event).Text, r.Event.Author})
	}
	return g
}

func kindTitle(name string) string {
	for _, k := range daybook.Kinds() {
		if k.Name == name {
			return k.Title
		}
	}
	return name
}

// countedKinds are the records that a spreadsheet adds up, each on a page of its
// own.
var countedKinds = []string{"eggs", "eggs_out", "birds_in", "birds_out", "butchered", "setting", "hatch", "weighing", "feed", "money"}

// KindGrid has one row for each record of one kind that counts, with what was
// written down in columns and groups and birds by name.
func KindGrid(b *daybook.Book, kind string, c measure.Currency) Grid {
	g := Grid{Name: kind, Currency: c}
	for _, r := range b.Records {
		if r.Event.Kind != kind {
			continue
		}
		v := reflect.ValueOf(r.Payload).Elem()
		if g.Fields == nil {
			g.Fields = payloadFields(v.Type())
		}
		row := []any{r.Event.HappenedOn}
		for i := range v.NumField() {
			if _, ok := fieldKind(v.Type().Field(i)); ok {
				row = append(row, payloadCell(b.Names(), r.Payload, v.Type().Field(i).Name, v.Field(i).Interface()))
			}
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}

func payloadFields(t reflect.Type) []Field {
	list := []Field{{"date", asDay}}
	for f := range fieldsOf(t) {
		if k, ok := fieldKind(f); ok {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			list = append(list, Field{strings.TrimSuffix(name, "_minor"), k})
		}
	}
	return list
}

func fieldsOf(t reflect.Type) func(func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for i := range t.NumField() {
			if !yield(t.Field(i)) {
				return
			}
		}
	}
}

// fieldKind tells how a field of a record is shown; false for lists of parts,
// which fit no column.
func fieldKind(f reflect.StructField) (kind, bool) {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	switch reflect.Zero(f.Type).Interface().(type) {
	case string, daybook.ID, []daybook.ID, []float64:
		return asText, true
	case int:
		return asWhole, true
	case bool:
		return asFlag, true
	case measure.Date:
		return asDay, true
	case measure.Money:
		return asMoney, true
	case float64:
		if strings.HasSuffix(name, "kg") {
			return asMass, true
		}
		return asNumber, true
	}
	return asText, false
}

func payloadCell(n daybook.Names, p daybook.Payload, field string, value any) any {
	if meat, ok := p.(*daybook.Butchered); ok && len(meat.Each) > 0 {
		switch live, dressed := eachKg(meat.Each); field {
		case "LiveKg":
			value = live
		case "DressedKg":
			value = dressed
		}
	}
	switch x := value.(type) {
	case daybook.ID:
		return idName(n, x)
	case []daybook.ID:
		var names []string
		for _, id := range x {
			names = append(names, idName(n, id))
		}
		return strings.Join(names, ", ")
	case []float64:
		var list []string
		for _, f := range x {
			list = append(list, strconv.FormatFloat(f, 'f', -1, 64))
		}
		return strings.Join(list, " ")
	case float64:
		if x == 0 {
			return nil // was not written down
		}
	}
	return value
}

func eachKg(each []daybook.Carcass) (live, dressed float64) {
	for _, c := range each {
		live += c.LiveG / 1000
		dressed += c.DressedG / 1000
	}
	return live, dressed
}

func idName(n daybook.Names, id daybook.ID) string {
	switch {
	case id.IsZero():
		return ""
	case n.Groups[id] != "":
		return n.Groups[id]
	case n.Birds[id] != "":
		return n.Birds[id]
	}
	return id.Short()
}

// kindsIn lists the counted kinds that a book has records of.
func kindsIn(b *daybook.Book) []string {
	return slices.DeleteFunc(slices.Clone(countedKinds), func(kind string) bool {
		return !slices.ContainsFunc(b.Records, func(r daybook.Record) bool { return r.Event.Kind == kind })
	})
}

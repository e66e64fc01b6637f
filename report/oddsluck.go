package report

import (
	"slices"

	"henyear/chance"
)

// luckRow is one kind of luck with its part in the spread of three outcomes:
// eggs, winter eggs, cost.
type luckRow struct {
	code, what string
	share      [3]chance.Share
}

// luckRows lists the kinds of luck, the one that moves the winter's eggs most
// first.
func luckRows(m *chance.Matters) []luckRow {
	rows := make([]luckRow, 0, len(m.Winter))
	for k, list := range [][]chance.Share{m.Winter, m.Eggs, m.Cost} {
		for _, s := range list {
			i := slices.IndexFunc(rows, func(r luckRow) bool { return r.code == s.Code })
			if i < 0 {
				i = len(rows)
				rows = append(rows, luckRow{code: s.Code, what: s.What})
			}
			rows[i].share[k] = s
		}
	}
	return rows
}

// luckName is a short name for a kind of luck.
func luckName(r luckRow) string {
	if text, known := english["luck."+r.code]; known {
		return text
	}
	return Capital(r.what)
}

// OddsLuck draws which luck makes the spread of winter eggs, of all eggs and of
// cost: the share in which each kind has a part. The shares of one outcome may
// add up to more than the whole, since some luck counts only together with
// other luck.
func OddsLuck(m *chance.Matters) Drawing {
	rows := luckRows(m)
	outcomes := []struct{ class, words string }{{"own", say("odds.luck.winter")}, {"kept", say("odds.luck.eggs")}, {"feed", say("odds.luck.cost")}}
	table := Table{Caption: say("odds.luck.caption", whole(float64(m.Replicates))), Head: []Column{{say("odds.luck.kind"), true}}}
	for _, o := range outcomes {
		table.Head = append(table.Head, Column{say("odds.luck.alone", o.words), false}, Column{say("odds.luck.part", o.words), false})
	}
	for _, r := range rows {
		cells := []string{Capital(r.what)}
		for _, s := range r.share {
			cells = append(cells, Percent(s.First), say("odds.luck.give_take", Percent(s.Total), Number(200*s.Error, 0)))
		}
		table.Rows = append(table.Rows, cells)
	}
	desc := ""
	for _, s := range m.Words {
		desc += s.Text + " "
	}
	return draw("odds-luck", say("odds.luck.title"), desc+say("odds.luck.message"), table, func(pen *pen) {
		var keys []key
		for _, o := range outcomes {
			keys = append(keys, key{o.class, o.words, false})
		}
		y := pen.legend(0, 2, keys) + 4
		high := 0.0
		for _, r := range rows {
			for _, s := range r.share {
				high = max(high, s.Total)
			}
		}
		room := pen.width - 48
		for _, r := range rows {
			pen.text("strong", "start", 0, y+11, luckName(r))
			y += 17
			for k, s := range r.share {
				width := s.Total / max(high, 1e-9) * room
				pen.rect(outcomes[k].class, 0, y, width, 11)
				pen.text("label", "start", width+6, y+10, Percent(s.Total))
				y += 15
			}
			y += 12
		}
		pen.line("axis", 0, 28, 0, y-10)
		pen.height = y - 4
	})
}

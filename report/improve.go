package report

import (
	"io"
	"strings"

	"henyear/advise"
	"henyear/plan"
)

// ImproveAnswer is what bettering the place would bring, for another program.
type ImproveAnswer struct {
	Format   int                  `json:"format"`
	Currency string               `json:"currency"`
	Changes  []advise.Improvement `json:"changes"`
	Untold   []plan.Sentence      `json:"untold"` // what was left out because the holding does not tell of it
}

// ImproveFormat is the version of the JSON of an ImproveAnswer.
const ImproveFormat = 1

// EffectWords says what birds notice of a change: "frost nights on the comb of a
// cock: 14 before, 6 after".
func EffectWords(e advise.Effect) string {
	decimals := 0
	switch most := max(e.Before, e.After); {
	case most < 1:
		decimals = 2
	case most < 10:
		decimals = 1
	}
	return say("improve.effect."+e.Code, Number(e.Before, decimals), Number(e.After, decimals))
}

// PayWords says after how long a change has paid its cost; empty where its worth
// is not known.
func PayWords(i advise.Improvement) string {
	const never = 100 // years
	switch {
	case i.YearsHigh <= 0:
		return ""
	case i.YearsLow > never:
		return say("improve.pays.never")
	case i.YearsHigh > never:
		return say("improve.pays.from", years(i.YearsLow))
	case years(i.YearsLow) == years(i.YearsHigh):
		return say("improve.pays.about", years(i.YearsHigh))
	}
	return say("improve.pays.between", years(i.YearsLow), years(i.YearsHigh))
}

// ImproveWords says what a change is worth and costs.
func ImproveWords(i advise.Improvement) string {
	var list []string
	for _, text := range []string{i.Text, i.KeptText, i.Note, i.CostText, PayWords(i)} {
		if text != "" {
			list = append(list, text)
		}
	}
	return strings.Join(list, " ")
}

func years(x float64) string {
	if x < 10 {
		return Number(x, 1)
	}
	return Number(x, 0)
}

// ImproveText writes the changes of a place that are worth thinking of, in the
// order given, and what was left out, as plain text. It returns the error of the writer.
func ImproveText(w io.Writer, list []advise.Improvement, untold []plan.Sentence, width int) error {
	s := newSheet(width)
	s.heading(say("improve.title"))
	s.paragraph("", "", say("improve.lead"))
	if len(list) == 0 {
		s.line("")
		s.paragraph("", "", say("improve.none"))
	}
	for _, i := range list {
		s.line("")
		s.paragraph("* ", "  ", Capital(i.What))
		s.paragraph("  ", "  ", ImproveWords(i))
		for _, e := range i.Effects {
			s.paragraph("  - ", "    ", EffectWords(e))
		}
	}
	for _, u := range untold {
		s.line("")
		s.paragraph("", "", u.Text)
	}
	s.line("")
	s.paragraph("", "", say("improve.foot"))
	return s.to(w)
}

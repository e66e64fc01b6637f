package daybook

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"henyear/measure"
)

func TestAGuardedCellIsNoFormulaAndComesBack(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+49 1": "'+49 1", "-2": "'-2", "@x": "'@x", "\tx": "'\tx", "\rx": "'\rx", "\n=x": "'\n=x", "＝1": "'＝1", "＋": "'＋",
		"－1": "'－1", "＠": "'＠", " =1": "' =1", "\u3000=1": "'\u3000=1", "'x": "''x", "": "", "   ": "   ", "egg": "egg", "a=b": "a=b", "😀": "😀", "دجاج": "دجاج",
	} {
		if got := Guarded(text); got != want || Unguarded(got) != text {
			t.Errorf("%q became %q and then %q", text, got, Unguarded(got))
		}
	}
	if got := Unguarded("'t Hof"); got != "'t Hof" {
		t.Errorf("a name that begins with an apostrophe of its own became %q", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		if got := Unguarded(Guarded(text)); got != text {
			t.Fatalf("%q came back as %q", text, got)
		}
	})
}

// RFC 4180: lines end with CR LF, quotes are doubled, a cell with a comma, a
// quote or a line end is quoted.
func TestARowIsWrittenAsTheStandardHasIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := rapid.SliceOfN(rapid.StringOf(rapid.RuneFrom([]rune("a,\";'\n\t |é😀ش"))), 2, 5).Draw(t, "row")
		var out bytes.Buffer
		WriteRow(&out, row)
		if !strings.HasSuffix(out.String(), "\r\n") {
			t.Fatal("no CR LF at the end")
		}
		back, err := csv.NewReader(&out).ReadAll()
		if err != nil || len(back) != 1 || strings.Join(back[0], "\x00") != strings.Join(row, "\x00") {
			t.Fatalf("%q came back as %q, %v", row, back, err)
		}
	})
}

func TestPaymentsAddUpToTheCash(t *testing.T) {
	b := &notebook{t: t}
	b.write("2026-03-01", &Feed{What: "bought", Feed: "pellets", Kg: 20, PaidMinor: 1450})
	b.write("2026-03-02", &EggsOut{Number: 12, How: "sold", ReceivedMinor: 400})
	b.write("2026-03-03", &Money{Way: "out", AmountMinor: 900, For: "bedding"})
	b.write("2026-03-04", &Money{Way: "in", AmountMinor: 200, For: "eggs"})
	b.write("2026-03-05", &Money{Way: "in", AmountMinor: 50, For: "other"})
	book := Replay(b.events, measure.Date{})
	var sum Cash
	for _, p := range book.Payments() {
		sum.Spent += p.Paid
		sum.Received += p.Received
		switch p.For {
		case "feed":
			sum.Feed += p.Paid
		case "eggs":
			sum.ReceivedEggs += p.Received
		}
	}
	if want := book.CashIn(Period{From: day("2026-03-01"), Through: day("2026-03-31")}); sum != want || sum.Spent != 2350 {
		t.Errorf("%+v, not %+v", sum, want)
	}
}

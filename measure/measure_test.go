package measure

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// ISO 8601 week dates: worked examples of the standard (from memory): 2005-01-01
// is 2004-W53-6, 2008-12-29 is 2009-W01-1, 2010-01-03 is 2009-W53-7.
func TestWeekLabelsFollowISO8601(t *testing.T) {
	for text, want := range map[string]string{
		"2005-01-01": "2004-W53", "2005-01-03": "2005-W01", "2008-12-29": "2009-W01",
		"2010-01-03": "2009-W53", "2026-11-25": "2026-W48",
	} {
		d, err := ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := WeekOf(d).Label(); got != want {
			t.Errorf("%s lies in %s, want %s", text, got, want)
		}
	}
}

func TestEveryDayLiesInItsWeek(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := weekZero.AddDays(rapid.IntRange(-40000, 80000).Draw(t, "days"))
		w := WeekOf(d)
		if n := d.DaysSince(w.Monday()); n < 0 || n > 6 {
			t.Fatalf("%s is %d days after the Monday of its week", d, n)
		}
		if w.Monday().Time().Weekday() != time.Monday {
			t.Fatalf("the week of %s begins on a %s", d, w.Monday().Time().Weekday())
		}
		if s := w.Slot(); s < 0 || s >= SlotsPerYear {
			t.Fatalf("%s falls into slot %d", d, s)
		}
	})
}

func TestDatesThatDoNotExistAreRefused(t *testing.T) {
	for _, text := range []string{"2027-02-29", "1066-10-14", "2027-13-01", "27-01-01", "", "2027-1-1", "9999-01-01"} {
		if d, err := ParseDate(text); err == nil {
			t.Errorf("%q was read as %s", text, d)
		}
	}
	if _, err := ParseDate("2028-02-29"); err != nil {
		t.Errorf("29 February of a leap year: %v", err)
	}
}

func TestDatesAreReadBackAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := weekZero.AddDays(rapid.IntRange(-20000, 80000).Draw(t, "days"))
		text, _ := d.MarshalText()
		var back Date
		if err := back.UnmarshalText(text); err != nil || back != d {
			t.Fatalf("%s came back as %s (%v)", d, back, err)
		}
	})
}

// ISO 4217 minor units (from memory): yen 0, euro 2, Kuwaiti dinar 3.
func TestMoneyKeepsTheDecimalsOfItsCurrency(t *testing.T) {
	for code, want := range map[string]string{"JPY": "1\u202f234 JPY", "EUR": "1\u202f234.00 EUR", "KWD": "1\u202f234.000 KWD"} {
		c, err := CurrencyOf(code)
		if err != nil {
			t.Fatal(err)
		}
		if got := c.Format(c.Minor(1234)); got != want {
			t.Errorf("%s: %q, want %q", code, got, want)
		}
	}
	if _, err := CurrencyOf("eur"); err == nil {
		t.Error("a currency in small letters was accepted")
	}
}

func TestHalfCentsGoToTheEvenCent(t *testing.T) {
	eur, _ := CurrencyOf("EUR")
	for amount, want := range map[float64]Money{0.125: 12, 0.375: 38, -0.125: -12, 2.5: 250} {
		if got := eur.Minor(amount); got != want {
			t.Errorf("%v is %d cents, want %d", amount, got, want)
		}
	}
}

// International yard and pound agreement of 1959 (from memory); 0 F and 100 F by
// the definition of the scale.
func TestUSUnitsConvertBothWays(t *testing.T) {
	if kg := US.ToMetric(MassKg, 5); math.Abs(kg-2.26796185) > 1e-9 {
		t.Errorf("5 lb is %v kg", kg)
	}
	if c := US.ToMetric(TempC, 0); math.Abs(c+17.7777778) > 1e-6 {
		t.Errorf("0 F is %v C", c)
	}
	if m2 := US.ToMetric(AreaM2, 100); math.Abs(m2-9.290304) > 1e-9 {
		t.Errorf("100 sq ft is %v m2", m2)
	}
	rapid.Check(t, func(t *rapid.T) {
		q := Quantity(rapid.IntRange(int(MassKg), int(RainMM)).Draw(t, "quantity"))
		x := rapid.Float64Range(-1000, 1000).Draw(t, "x")
		shown, _ := US.Show(q, x)
		if back := US.ToMetric(q, shown); math.Abs(back-x) > 1e-9*math.Max(1, math.Abs(x)) {
			t.Fatalf("%v came back as %v", x, back)
		}
	})
}

func TestRoundingNeverWritesMinusZero(t *testing.T) {
	if got := Round(-0.04, 1); got != "0.0" {
		t.Errorf("-0.04 to one decimal is %q", got)
	}
}

func TestSignificantDigitsHideTheLastBits(t *testing.T) {
	if a, b := Significant(0.1+0.2, 6), Significant(0.3, 6); a != b {
		t.Errorf("%v and %v differ", a, b)
	}
	if got := Significant(123456789, 6); got != 123457000 {
		t.Errorf("123456789 to six digits is %v", got)
	}
	if got := Significant(0, 6); got != 0 {
		t.Errorf("0 became %v", got)
	}
}

func TestDatesStandInOrder(t *testing.T) {
	leap := Date{2028, time.February, 29}
	for _, c := range []struct {
		a, b Date
		want int
	}{{leap, leap, 0}, {leap, leap.AddDays(1), -1}, {Date{2028, time.March, 1}, leap, 1}, {Date{2027, time.December, 31}, leap, -1}} {
		if got := c.a.Compare(c.b); got != c.want || c.a.After(c.b) != (c.want > 0) || c.a.Before(c.b) != (c.want < 0) {
			t.Errorf("%s against %s: %d", c.a, c.b, got)
		}
	}
}

package report

import (
	"math"
	"strconv"
	"time"

	"henyear/measure"
)

// A frame is the field of a drawing within its axes.
type frame struct {
	left, right, top, bottom float64
	low, high                float64 // values at the bottom and the top
}

func (f frame) y(value float64) float64 {
	return f.bottom - (value-f.low)/(f.high-f.low)*(f.bottom-f.top)
}

// slot is the middle of the i-th of n equal parts of the width.
func (f frame) slot(i, n int) float64 {
	return f.left + (float64(i)+0.5)*(f.right-f.left)/float64(n)
}

// edge is the left edge of the i-th of n parts.
func (f frame) edge(i, n int) float64 {
	return f.left + float64(i)*(f.right-f.left)/float64(n)
}

// steps returns round values that span low to high in about n steps.
func steps(low, high float64, n int) []float64 {
	if high <= low {
		high = low + 1
	}
	raw := (high - low) / float64(n)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * p
	for _, m := range []float64{1, 2, 2.5, 5} {
		if m*p >= raw*(1-1e-9) {
			step = m * p
			break
		}
	}
	var list []float64
	for k := math.Floor(low/step + 1e-9); ; k++ {
		list = append(list, k*step)
		if k*step >= high-1e-9*step {
			return list
		}
	}
}

// scale fits the frame to the values and rules it. The unit stands once, above
// the axis.
func (p *pen) scale(f *frame, low, high float64, unit string) {
	ticks := steps(low, high, max(3, int((f.bottom-f.top)/42)))
	f.low, f.high = ticks[0], ticks[len(ticks)-1]
	decimals := 0
	if len(ticks) > 1 && math.Mod(ticks[1]-ticks[0], 1) != 0 {
		decimals = 1
	}
	for _, t := range ticks {
		class := "rule"
		if t == 0 {
			class = "axis"
		}
		p.line(class, f.left, f.y(t), f.right, f.y(t))
		p.text("label", "end", f.left-6, f.y(t)+4, Number(t, decimals))
	}
	if unit != "" {
		p.text("label", "start", 0, f.top-9, unit)
	}
}

// calendar writes a time axis below the frame for weeks from the first Monday:
// years, and months as finely as there is room.
func (p *pen) calendar(f frame, first measure.Date, weeks int) {
	last := first.AddDays(7 * weeks)
	days := float64(last.DaysSince(first))
	x := func(d measure.Date) float64 {
		return f.left + float64(d.DaysSince(first))/days*(f.right-f.left)
	}
	perMonth := (f.right - f.left) / (days / 30.44)
	every := 12
	for _, e := range []int{1, 3, 6} {
		if perMonth*float64(e) >= 30 {
			every = e
			break
		}
	}
	p.line("axis", f.left, f.bottom, f.right, f.bottom)
	for d := (measure.Date{Year: first.Year, Month: 1, Day: 1}); d.Before(last); d = nextMonth(d) {
		p.month(f, d, first, last, every, x)
	}
}

func (p *pen) month(f frame, d, first, last measure.Date, every int, x func(measure.Date) float64) {
	at := x(d)
	newYear := d.Month == time.January
	if !d.Before(first) && newYear {
		p.line("axis", at, f.top, at, f.bottom+6)
	} else if !d.Before(first) {
		p.line("rule", at, f.bottom, at, f.bottom+4)
	}
	if newYear {
		yearEnd := min(f.right, x(measure.Date{Year: d.Year + 1, Month: 1, Day: 1}))
		yearStart := max(f.left, at)
		if yearEnd-yearStart > 32 {
			p.text("strong", "middle", (yearStart+yearEnd)/2, f.bottom+33, strconv.Itoa(d.Year))
		}
	}
	if (int(d.Month)-1)%every == 0 && every < 12 {
		end := x(nextMonth(d))
		if middle := (at + end) / 2; middle > f.left+4 && middle < f.right-4 {
			p.text("label", "middle", middle, f.bottom+17, d.Month.String()[:3])
		}
	}
}

func nextMonth(d measure.Date) measure.Date {
	if d.Month == time.December {
		return measure.Date{Year: d.Year + 1, Month: 1, Day: 1}
	}
	return measure.Date{Year: d.Year, Month: d.Month + 1, Day: 1}
}

const calendarPx = 40 // room below a frame for the time axis

// trace joins values, one a slot, by a line.
func (f frame) trace(values []float64) string {
	d := make([]byte, 0, 12*len(values))
	for i, v := range values {
		c := byte('L')
		if i == 0 {
			c = 'M'
		}
		d = append(d, c)
		d = append(d, short(f.slot(i, len(values)))...)
		d = append(d, ' ')
		d = append(d, short(f.y(v))...)
	}
	return string(d)
}

// stairs draws values as level steps, one a slot: a need is level within its
// week.
func (f frame) stairs(values []float64) string {
	d := make([]byte, 0, 12*len(values))
	last := math.NaN()
	for i, v := range values {
		if v == last {
			continue
		}
		if i == 0 {
			d = append(d, 'M')
			d = append(d, short(f.edge(i, len(values)))...)
			d = append(d, ' ')
		} else {
			d = append(d, 'H')
			d = append(d, short(f.edge(i, len(values)))...)
			d = append(d, 'V')
		}
		d = append(d, short(f.y(v))...)
		last = v
	}
	d = append(d, 'H')
	d = append(d, short(f.right)...)
	return string(d)
}

// between fills the room from one row of values to another.
func (f frame) between(low, high []float64) string {
	n := len(high)
	d := f.trace(high)
	for i := n - 1; i >= 0; i-- {
		d += "L" + short(f.slot(i, n)) + " " + short(f.y(low[i]))
	}
	return d + "Z"
}

// blocks fills level steps from low to high, leaving out slots without height.
func (f frame) blocks(low, high []float64) string {
	n := len(high)
	d := ""
	for i := 0; i < n; {
		if high[i]-low[i] <= 1e-9 {
			i++
			continue
		}
		j := i
		for j < n && high[j]-low[j] > 1e-9 {
			j++
		}
		d += "M" + short(f.edge(i, n)) + " " + short(f.y(low[i]))
		for k := i; k < j; k++ {
			d += "V" + short(f.y(high[k])) + "H" + short(f.edge(k+1, n))
		}
		for k := j - 1; k >= i; k-- {
			d += "V" + short(f.y(low[k])) + "H" + short(f.edge(k, n))
		}
		d += "Z"
		i = j
	}
	return d
}

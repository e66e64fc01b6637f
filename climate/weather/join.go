package weather

import (
	"slices"

	"henyear/measure"
)

// Join puts the files of one station together, where the service gives highs, lows
// and rain in files of their own. Name, station and position come from the first
// file that has them; where two files give the same figure of a day, the first file
// counts. All must hold days of real years.
func Join(records ...*Record) (*Record, error) {
	if len(records) == 0 {
		return nil, refuse("join-nothing", nil, "There is no file to join.")
	}
	out := &Record{Kind: records[0].Kind, Name: records[0].Name}
	days := map[measure.Date]*Day{}
	differ := 0
	for _, r := range records {
		if r.Normals != nil || r.Typical {
			return nil, refuse("join-usual", map[string]any{"name": r.Name},
				"%s has one usual year only and cannot be joined with files of days.", r.subject())
		}
		if out.Station == "" {
			out.Station = r.Station
		}
		if out.At == nil {
			out.At = r.At
		}
		for _, d := range r.Days {
			if at := days[d.Date]; at != nil {
				differ += at.fill(d)
				continue
			}
			days[d.Date] = &d
		}
		out.Notes = append(out.Notes, r.Notes...)
		out.Dropped = out.Dropped.plus(r.Dropped)
	}
	crossed := 0
	for _, d := range days {
		if d.HighC < d.LowC {
			d.HighC, d.LowC = nan, nan
			crossed++
		}
		if given(d.HighC) && given(d.LowC) {
			d.MeanC = (d.HighC + d.LowC) / 2
		}
		if !d.empty() {
			out.Days = append(out.Days, *d)
		}
	}
	if len(out.Days) == 0 {
		return nil, refuse("join-nothing", nil, "The files joined have no day left.")
	}
	slices.SortFunc(out.Days, func(a, b Day) int { return a.Date.DaysSince(b.Date) })
	out.Dropped.Crossed += crossed
	if differ > 0 {
		out.tell("join-differ", map[string]any{"values": differ}, "The joined files differ in %d values; the first file counts.", differ)
	}
	if crossed > 0 {
		out.tell("join-crossed", map[string]any{"days": crossed}, "On %d days the high of one file lies below the low of another; both were left out.", crossed)
	}
	out.period()
	return out, nil
}

// fill takes over what d knows more, and counts where both know and differ.
func (at *Day) fill(d Day) (differ int) {
	for _, v := range []struct {
		mine   *float64
		theirs float64
	}{{&at.HighC, d.HighC}, {&at.LowC, d.LowC}, {&at.MeanC, d.MeanC}, {&at.HumidityPct, d.HumidityPct}, {&at.RainMM, d.RainMM}, {&at.WindMS, d.WindMS}} {
		switch {
		case !given(*v.mine):
			*v.mine = v.theirs
		case given(v.theirs) && v.theirs != *v.mine:
			differ++
		}
	}
	return differ
}

func (d Dropped) plus(e Dropped) Dropped {
	return Dropped{d.Flagged + e.Flagged, d.Impossible + e.Impossible, d.Crossed + e.Crossed, d.Repeated + e.Repeated,
		d.Conflict + e.Conflict, d.Future + e.Future, d.Malformed + e.Malformed, d.ThinDays + e.ThinDays}
}

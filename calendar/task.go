package calendar

import (
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// A Task is one job on a day or within a window of days.
type Task struct {
	// ID stays the same when the job moves to another day or its words change:
	// it is made of what the job is for (the batch, the group, the month of the
	// round), never of its date. A tick in the daybook names it.
	ID   string `json:"id"`
	Kind Kind   `json:"kind"`

	// On is the day to plan for, First and Last the days between which the job
	// still serves; all three alike for a job that cannot wait.
	On    measure.Date `json:"on"`
	First measure.Date `json:"first"`
	Last  measure.Date `json:"last"`
	// Clock is minutes after midnight by the holding's clock, for a job with an
	// hour (a fast begins at eight in the evening); -1 for any time of the day.
	Clock int `json:"clock_minutes"`

	What    daybook.Sentence  `json:"what"`              // in a line: "Candle the 24 eggs in the machine"
	Why     daybook.Sentence  `json:"why"`               // the reason, with its source
	Caution *daybook.Sentence `json:"caution,omitempty"` // where the job can hurt someone
	Minutes float64           `json:"minutes"`           // of one person; of one time, for a job that comes again
	Timed   string            `json:"minutes_source,omitempty"`
	Who     Who               `json:"who"`
	Batch   string            `json:"batch,omitempty"`      // of the plan
	Group   string            `json:"group,omitempty"`      // of the daybook
	Every   int               `json:"every_days,omitempty"` // a round that comes again: days between

	State   State             `json:"state"`
	DoneOn  measure.Date      `json:"done_on,omitzero"`
	Moved   *daybook.Sentence `json:"moved,omitempty"`   // why it is not where the plan had it, or why it is gone
	Away    *daybook.Sentence `json:"away,omitempty"`    // of a job that falls while nobody is at home: who could do it
	Matters *daybook.Sentence `json:"matters,omitempty"` // of a missed job: whether it still matters, and what to do now
}

// Kind of a job, for the eye and for exports.
type Kind string

// The kinds of job.
const (
	Daily   Kind = "daily"
	Eggs    Kind = "eggs" // for hatching
	Hatch   Kind = "hatch"
	Chicks  Kind = "chicks"
	Rearing Kind = "rearing"
	Butcher Kind = "butcher"
	Cull    Kind = "cull"
	Feed    Kind = "feed"
	Health  Kind = "health"
	House   Kind = "house"
	Weather Kind = "weather"
	Light   Kind = "light"
	Order   Kind = "order"   // to be bought, sold or arranged
	Records Kind = "records" // to be written down
	Leave   Kind = "away"    // around weeks away
)

// Kinds lists them in the order of a keeper's care.
func Kinds() []Kind {
	return []Kind{Daily, Eggs, Hatch, Chicks, Rearing, Butcher, Cull, Feed, Health, House, Weather, Light, Order, Records, Leave}
}

// Who can do a job.
type Who string

const (
	Anyone  Who = "anyone"  // a neighbour with this sheet
	Keeper  Who = "keeper"  // somebody who knows the flock
	Two     Who = "two"     // needs a second pair of hands
	Skilled Who = "skilled" // a trained person, as local law asks
)

// State of a job on the day of the list.
type State string

const (
	Ahead  State = "ahead"
	Due    State = "due" // its window is open
	Done   State = "done"
	Missed State = "missed" // its window has closed and nothing says it was done
	Gone   State = "gone"   // no longer called for, as the flock stands
)

// Input is what the work follows from.
type Input struct {
	Holding *holding.Holding
	Plan    *plan.Plan
	Book    *daybook.Book // nil when nothing was written down yet
	Today   measure.Date
	From    measure.Date // first and last day of the list; zero takes the whole plan
	To      measure.Date
}

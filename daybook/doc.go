// Package daybook holds what the household wrote down, and the flock that
// follows from it.
//
// A record is an event: so many eggs, a hatch, a loss, feed bought. Nothing is
// ever overwritten. A correction is a new record that takes the place of the old
// one, and a strike takes a record out; both leave what they correct readable.
// From the events alone Replay works out the flock of any day, by group, pen and
// age, and the trade's measures with it: the same events give the same flock, in
// whatever order and however often they arrive.
//
// The parts, in the order in which a newcomer should read them:
//
//	event.go, kind.go, payload.go  what a record is, and what each kind holds
//	standing.go                    which records count when some correct others
//	replay.go, book.go             birds by group and pen through time
//	harvest.go                     eggs by day, and whose they are
//	windows.go                     eggs and meat held back after a medicine
//	reconcile.go                   "you counted 23, the book says 25"
//	measures.go, meat.go, onset.go the measures, with their definitions
//	tables.go                      the records as tables and lines, and back
//	import.go and import*.go       old tables of keepers
//
// The room reads no clock and draws no chance: identifiers, dates and moments
// come in with the records.
package daybook

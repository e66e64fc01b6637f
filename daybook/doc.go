// Package daybook holds what the household wrote down, and the flock that
// follows from it.
//
// A record is an event: so many eggs, a hatch, a loss, feed bought. Nothing is
// ever overwritten. From the events alone the flock of any day is worked out, by
// group and age, and the trade's measures with it.
package daybook

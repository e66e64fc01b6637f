// Package calendar turns a plan into days: the dated work list of a household,
// moved with its flock, and the same as a file that other calendars read.
//
// The jobs stand in tables (data/*.toml), each with its day, its window, its
// words, its source and what to do when it was missed. Of puts them on dates:
//
//	table.go     the tables, read and checked
//	lot.go       one lot of birds of the plan, from the eggs to the pot
//	match.go     which lot of the plan is which setting or group of the daybook
//	follow.go    a lot on the days on which it really was set, hatched, came
//	away.go      weeks in which nobody is at home
//	steps.go     the jobs of a lot
//	killing.go   butcher days, and birds that are sold or given
//	rounds.go    the jobs that come with the season, and weather.go, lights.go
//	state.go     done, due, missed, and what still matters
//	list.go      the list, and the minutes of its weeks
//
// A job exists only when its subject does: no machine, no machine to clean. Its
// identifier is made of what it is for (the lot, the month of the round) and the
// name of the job, never of its own date, so that it stays the same when the job
// moves. A tick in the daybook names it.
//
// The package reads no clock and draws no chance: today comes in, and the same
// input gives the same list.
package calendar

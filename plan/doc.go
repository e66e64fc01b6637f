// Package plan computes a household's flock: which birds, how many, when to
// hatch or buy them, whom to keep, when they go to the table.
//
// It takes a holding (what the household has and needs), lets course work out
// what a bird hatched in any week would do there, and writes all of it as one
// mixed-integer programme: a column for each batch that may begin and for each
// fate of its birds, a row for each limit in each period. README.md beside this
// file has the programme in mathematics.
//
//	Planner.Plan      the joint plan from the birds on hand, to the end of the second next year
//	Planner.Breeds    the household's steady year with each breed alone, side by side
//	Planner.WriteMPS  the programme, for another solver
//
// A keeper's habits are rows too: a spare cock, three cockerels reared for each
// kept, pens that are not shared by birds of different kinds, no hatch while the
// family is away. What the programme leaves out is listed in every plan.
package plan

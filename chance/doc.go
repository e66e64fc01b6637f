// Package chance lives a plan through many random years before it is lived once.
//
// A small flock is a lottery: half a hatch fails, a fox takes six in a night, one
// hen lays twice what her sister does, and the same keeper's years differ by a
// third. Expected values hide that. Here every bird is an individual, drawn week
// by week from the same law (package bird) whose expectation the planner uses.
//
// A replicate is one whole horizon of the plan. Randomness comes from streams:
// each is named by the seed, the replicate, what it is for and the bird or event
// it belongs to, never by the order of calls, so that the same seed gives the
// same answer on any number of cores, and a fox more or less does not change the
// luck of the next hatch.
package chance

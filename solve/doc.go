// Package solve states and solves linear and mixed-integer programmes.
//
// A programme chooses numbers (columns: how many chicks to hatch in a week, how
// many dozen eggs to buy) so that the cost
//
//	offset + sum over columns of cost[j] x[j]
//
// is least, while every column keeps within its bounds, every whole column is a
// whole number, and every row (an egg balance, a house with so much room) keeps
// its sum between two limits:
//
//	rowLow[i] <= sum over j of a[i,j] x[j] <= rowHigh[i]
//
// Write one with Model, solve it with Engine (large programmes, one by one) or
// with a Session (many small ones in turn).
//
// The solver is HiGHS, compiled to WebAssembly and carried inside this program;
// wazero runs it, so neither a C compiler nor a second program is needed.
//
// Three habits matter to those who read the answers:
//
//   - A status is never trusted. Whatever the solver says, the numbers it gives
//     are rounded to whole birds where they must be and checked here, row by
//     row, before anyone sees them.
//   - A solve that was stopped says by what. A stop by work (NodeLimit) gives
//     the same answer each time; a stop by the clock does not.
//   - Every coefficient is rounded to six significant digits before solving,
//     because the last bits of exp and sin differ between kinds of computer.
//     The exported file carries the same rounded numbers.
package solve

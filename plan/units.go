package plan

import "henyear/measure"

// inUnits writes a metric quantity in the keeper's units with so many decimals;
// square and cubic feet are small, and get none.
func inUnits(u measure.Units, q measure.Quantity, metric float64, decimals int) string {
	shown, unit := u.Show(q, metric)
	if u == measure.US && (q == measure.AreaM2 || q == measure.VolumeL) {
		decimals = 0
	}
	return measure.Round(shown, decimals) + " " + unit
}

// inUnits writes a quantity in the units of the household.
func (pr *programme) inUnits(q measure.Quantity, metric float64, decimals int) string {
	return inUnits(pr.h.Units, q, metric, decimals)
}

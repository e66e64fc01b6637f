package chance

// The eggs of a hen in a week: so many of seven days, each with the same chance.
//
// A draw reads one column of a table made for Walker's alias method, which gives
// a binomial number from one random word: three bits choose the column, the rest
// decide between its two numbers. The table holds every 256th of the chance; the
// chance between two is met by taking one or the other at random, so that the mean
// is exact.
const chanceSteps = 256

type aliasColumn struct {
	keep  uint32 // of 1<<keepBits: take the column's own number
	other uint32
}

const keepBits = 21

var sevenDays = func() (table [chanceSteps + 2][8]aliasColumn) {
	for j := range table {
		p := min(1, float64(j)/chanceSteps)
		table[j] = aliasOf(sevenShares(p))
	}
	return table
}()

// sevenShares is the chance of 0 to 7 eggs.
func sevenShares(p float64) (share [8]float64) {
	share[0] = 1
	for range 7 {
		for k := 7; k > 0; k-- {
			share[k] = share[k]*(1-p) + share[k-1]*p
		}
		share[0] *= 1 - p
	}
	return share
}

func aliasOf(share [8]float64) (columns [8]aliasColumn) {
	var left [8]float64
	for k := range share {
		left[k] = 8 * share[k]
	}
	var done [8]bool
	for range 8 {
		low := -1
		for k := range left {
			if !done[k] && (low < 0 || left[k] < left[low]) {
				low = k
			}
		}
		high := low
		for k := range left {
			if !done[k] && left[k] > left[high] {
				high = k
			}
		}
		done[low] = true
		columns[low] = aliasColumn{uint32(min(1, left[low])*(1<<keepBits) + 0.5), uint32(high)}
		if high != low {
			left[high] -= 1 - left[low]
		}
	}
	return columns
}

// eggsOfSeven draws the eggs of seven days with chance p each (0 to 1) from one
// random word. It has no branch that luck decides, for those are slow.
func eggsOfSeven(p float64, word uint32) int {
	j := (uint32(p*(chanceSteps<<8)) + word&255) >> 8
	k := word >> 8 & 7
	c := &sevenDays[j][k]
	n := c.other
	if word>>11 < c.keep {
		n = k
	}
	return int(n)
}

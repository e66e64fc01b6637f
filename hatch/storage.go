package hatch

// storage holds what is left of the hatch of fertile eggs after days in a pantry
// or cellar at 10 to 18 C. The shape is the old extension table (88 % after one
// day, 79 after 7, 68 after 10, 56 after 13, 26 after 22, none after 25), scaled
// to 1 at day 0. Cold stores lose far less. Key: hatch-storage-table.
var storage = [...]float64{1, 1, 1, 0.995, 0.99, 0.96, 0.93, 0.90, 0.86, 0.815, 0.77, 0.73, 0.685, 0.64,
	0.59, 0.545, 0.50, 0.45, 0.395, 0.34, 0.325, 0.31, 0.295, 0.20, 0.10, 0}

// StorageMultiplier is the share of the hatch left to an egg kept for whole days.
func StorageMultiplier(days int) float64 {
	switch {
	case days <= 0:
		return 1
	case days >= len(storage):
		return 0
	}
	return storage[days]
}

// MeanStorage is the mean multiplier of eggs saved one lot a day over savedDays
// days and set on the last: the ages 0 to savedDays-1.
func MeanStorage(savedDays int) float64 {
	if savedDays <= 1 {
		return 1
	}
	sum := 0.0
	for age := range savedDays {
		sum += StorageMultiplier(age)
	}
	return sum / float64(savedDays)
}

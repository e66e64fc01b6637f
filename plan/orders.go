package plan

// What a simulation of a plan must reckon as the plan does.
const (
	MachineKWh         = machineKWh     // power of one hatch in a small machine
	BrooderKWh         = brooderKWh     // power of warming one brood
	FreezerLPerKg      = freezerLPerKg  // litres of freezer for a dressed kilogram
	FitShare           = fitShare       // share of eggs laid that are fit for setting
	JoinWeeks          = joinWeeks      // pullets join the layers
	BrooderWeeks       = brooderWeeks   // chicks need warmth until here
	HouseWeeks         = houseWeeks     // until then growing birds sleep in ark or run as well
	BreedHenWeeks      = breedHenWeeks  // hens give eggs fit for setting
	BreedCockWeeks     = breedCockWeeks // cocks serve
	StartedWeeks       = startedWeeks   // age of a started pullet when bought
	GrownCockWeeks     = grownCockWeeks // age of a cock when bought
	EggKeepWeeks       = 5              // clean eggs keep so long, cool
	PulletsReared      = pulletsReared  // pullets hatched for each that joins the layers
	FrozenEggWeeksMost = 39             // nine months
)

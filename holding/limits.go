package holding

import "time"

// What a holding file may contain. The planner is made for flocks up to
// UsualBirds; it still accepts MaxBirds, above which a file is refused.
const (
	MaxFileBytes = 1 << 20
	MaxLineBytes = 2000
	MaxDepth     = 8 // brackets within brackets
	MaxBirds     = 5000
	UsualBirds   = 500
	MaxHouses    = 50
	MaxPens      = 100 // in all houses together
	MaxGroups    = 500
	MaxOffers    = 200
	MaxEntries   = 100 // of every other list
	MaxProblems  = 200 // reported at once; the rest is counted
	MaxAgeYears  = 15  // of a bird on hand
	MaxText      = 100 // characters of a name

	// Format is the newest version of the file format that this program reads.
	Format = 1
)

// Plans begin in these years.
const firstYear, lastYear = 2000, 2100

// The mean length of each month over the 400 years of the calendar, so that
// the twelve sum to 365.2425 days.
var monthDays = [12]float64{31, 28.2425, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

func weeksOf(month time.Month) float64 { return monthDays[month-1] / 7 }

// Package bird holds the law of one bird: what a bird of a given kind, sex and
// age does in a week under given surroundings, and with what chance it passes
// from one state to another. The planner takes its expectation, the simulator
// draws from it, the learner moves its rates; there is no second copy.
package bird

// Sex of a bird.
type Sex uint8

const (
	Hen Sex = iota
	Cock
)

func (s Sex) String() string {
	if s == Cock {
		return "cock"
	}
	return "hen"
}

// Surroundings is what reaches the bird in one week.
type Surroundings struct {
	MeanC       float64 // daily mean temperature where the bird is
	NightC      float64 // coldest hour of a usual night at the perch
	NightSDC    float64 // night to night standard deviation of NightC
	DayMaxC     float64 // mean daily high in the shade that the bird has
	DaySDC      float64 // day to day standard deviation of DayMaxC
	AirMS       float64 // air speed at the perch
	DampPerch   bool    // condensation or drip at the perch
	LightH      float64 // hours of light that count for lay: sunrise to sunset, or the lamps if longer
	LightTrendH float64 // change of LightH against four weeks earlier, hours
	LatitudeDeg float64 // absolute latitude: how strong the light season is
	GroundRisk  float64 // foxes and the like; 1 is a day range, locked at night (see RiskSecureRun)
	AirRisk     float64 // hawks, on the same scale
	Brooder     bool    // young chicks are kept warm (machine brooder or hen)
	UnderHen    bool    // chicks go with a hen
	OnPasture   bool    // ranges by day
	ForageShare float64 // share of feed found on the range
}

// Rates are what a household's records move. The zero value is not usable; use
// NewRates, in which every rate is neutral.
type Rates struct {
	Lay           float64 // multiplies the chance of an egg of a hen in lay
	FirstEggWeeks float64 // added to the age at first egg
	Growth        float64 // multiplies live weight after hatch
	Feed          float64 // multiplies feed eaten
	Losses        float64 // multiplies the weekly chance of loss other than raids
	Raids         float64 // multiplies losses to predators
	Broody        float64 // multiplies the weekly chance to go broody
	MoultWeeks    float64 // multiplies the time out of lay at the moult
}

// NewRates returns neutral rates.
func NewRates() Rates {
	return Rates{Lay: 1, Growth: 1, Feed: 1, Losses: 1, Raids: 1, Broody: 1, MoultWeeks: 1}
}

// Outputs is the expectation of one week in the life of one bird that was
// started (hatched alive, or bought). Shares and sums are per bird started;
// weights are of a bird that is alive.
type Outputs struct {
	Alive        float64 // share alive, mean over the week
	AliveEnd     float64 // share alive at the end of the week
	Eggs         float64 // eggs laid
	EggKg        float64 // mass of those eggs
	FeedKg       float64 // feed eaten (waste comes on top)
	LiveKg       float64 // a living bird at the end of the week
	DressedKg    float64 // that bird plucked and drawn, without giblets
	InLay        float64 // share of birds started that are in lay
	Broody       float64
	Moulting     float64 // dropping and growing feathers
	Waiting      float64 // adult, moult done, waiting for longer days
	BroodySpells float64 // spells that begin in the week: settings on offer
	LostRaids    float64 // taken by predators in the week
	LostOther    float64
	CombNights   float64 // nights of the week that threaten the comb, for a living bird
	HeatDays     float64 // days of the week of heat strain, for a living bird
	LayingYear   float64 // mean laying year of the birds in lay, 1 for pullets
}

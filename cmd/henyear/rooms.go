package main

import (
	"henyear/bird"
	"henyear/breed"
	"henyear/butcher"
	"henyear/calendar"
	"henyear/chance"
	"henyear/climate"
	"henyear/climate/weather"
	"henyear/daybook"
	"henyear/hatch"
	"henyear/housing"
	"henyear/plan"
	"henyear/source"
)

// rooms lists the published checks of every room, in the order of the house.
var rooms = []func() ([]source.Check, error){
	climate.Evidence,
	weather.Evidence,
	breed.Evidence,
	bird.Evidence,
	hatch.Evidence,
	housing.Evidence,
	butcher.Evidence,
	plan.Evidence,
	chance.Evidence,
	daybook.Evidence,
	calendar.Evidence,
}

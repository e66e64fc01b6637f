package butcher

// Practice is how the work is done.
type Practice int

const (
	Beginner  Practice = iota // by hand, the first birds
	Practised                 // by hand
	Plucker                   // practised, with a scalder and a tub plucker
	Crew                      // three or four people with equipment
)

var practiceNames = [...]string{"beginner", "practised", "plucker", "crew"}

func (p Practice) String() string {
	if p < Beginner || p > Crew {
		return "unknown"
	}
	return practiceNames[p]
}

// PracticeOf finds a way of working by its lasting name.
func PracticeOf(name string) (Practice, bool) {
	for i, n := range practiceNames {
		if n == name {
			return Practice(i), true
		}
	}
	return Beginner, false
}

// crewPeople is the middle of a crew of three or four.
const crewPeople = 3.5

// birdsAPersonHour is from the kill to the chilled carcass. A crew's 20 to 40
// birds an hour are shared by its people. Keys: butcher-pace-beginner (records
// of first days), butcher-pace.
var birdsAPersonHour = [...]Range{
	Beginner:  {1, 1.5, 2, "butcher-pace-beginner"},
	Practised: {3, 4, 5, "butcher-pace"},
	Plucker:   {6, 8, 10, "butcher-pace"},
	Crew:      {20 / crewPeople, 30 / crewPeople, 40 / crewPeople, "butcher-pace"},
}

// mostHands: more people than this wait for each other at one scalder (guess).
const mostHands = 4

// Pace is birds an hour of all people together. A crew is never more than the
// birds an hour that crews of three or four are known for.
func Pace(p Practice, people int) Range {
	return birdsAPersonHour[p].times(float64(min(people, mostHands)))
}

// Fixed is setting up and cleaning up, hours a session whatever the number.
func Fixed() Range { return Range{1.5, 2, 3, "butcher-fixed"} }

// setUpShare of the fixed hours comes before the first bird (guess).
const setUpShare = 0.5

// killHours from the first bird to the last one in the ice.
func killHours(birds int, pace Range) Range {
	n := float64(birds)
	return Range{n / pace.High, n / pace.Plan, n / pace.Low, pace.Source}
}

// pluckMinutes a bird by hand; a tub plucker takes 15 to 40 seconds for a batch
// of up to four. Keys: butcher-pluck-hand, butcher-pluck-tub.
func pluckMinutes(p Practice) Range {
	switch p {
	case Beginner:
		return Range{20, 25, 30, "butcher-pluck-hand"}
	case Practised:
		return Range{2, 6, 10, "butcher-pluck-hand"}
	}
	return Range{15.0 / 60, 0.5, 40.0 / 60, "butcher-pluck-tub"}
}

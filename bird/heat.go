package bird

import "math"

// Heat and cold in lay and feed.
//
// Hens begin to pant at 24 to 26 C and lay falls when days pass 30 C; what
// strains a bird depends on the body that makes heat and the surface that sheds
// it: heavy, loose-feathered, feather-legged birds first; light, tight-feathered
// birds with large combs or bare necks last (common practice).

// strainC is the shade high at which a usual hen of 2.2 kg, medium plumage and
// medium comb is strained after a warm night. Lay of hens falls above 30 C and
// losses are evident above 33 C (published advice for layers).
const strainC = 31.5

// HeatTolerance is what of a bird's make matters in heat.
type HeatTolerance struct {
	Kg              float64
	Plumage         string // tight, medium, loose
	FeatheredShanks bool
	NakedNeck       bool
	CombSize        int // 1 small, 2 medium, 3 large
}

// HeatStrainC is the shade high above which such a bird is strained on a day
// after a warm night, in still air: 26 to 37 C. The steps are estimates that keep
// the order common practice gives:
//
//	-1.5 for each kg above 2.2, plumage tight +1 or loose -1.5,
//	feathered shanks -0.5, naked neck +2, comb large +0.7 or small -0.5
func HeatStrainC(b HeatTolerance) float64 {
	limit := strainC - 1.5*(min(6, max(0.5, b.Kg))-2.2)
	switch b.Plumage {
	case "tight":
		limit++
	case "loose":
		limit -= 1.5
	}
	if b.FeatheredShanks {
		limit -= 0.5
	}
	if b.NakedNeck {
		limit += 2
	}
	switch {
	case b.CombSize >= 3:
		limit += 0.7
	case b.CombSize == 1:
		limit -= 0.5
	}
	return min(37, max(26, limit))
}

// Night relief: after a night below 22 C the same afternoon does far less
// (memory); the limit rises by up to 2 C as the night falls from 24 to 18 C.
func nightReliefC(nightC float64) float64 { return 2 * min(1, max(0, (24-nightC)/6)) }

// AirReliefC is by how much moving air lowers the heat that a bird feels at
// airC: the temperature-humidity-velocity index falls with speed to the power
// -0.058 between 0.2 and 1.2 m/s (Tao and Xin 2003).
func AirReliefC(airC, windMS float64) float64 {
	speed := min(1.2, max(0.2, windMS))
	return max(0, airC) * (1 - math.Pow(speed/0.2, -0.058))
}

// HeatLimitC is the shade high above which a day strains the bird in the week's
// nights and air. Air at the perch stands for the air by day.
func HeatLimitC(b HeatTolerance, s Surroundings) float64 {
	limit := HeatStrainC(b) + nightReliefC(s.NightC)
	limit += AirReliefC(limit, s.AirMS)
	return limit
}

// HeatDays is the expected number of days of the week, 0 to 7, whose high in the
// bird's shade strains it. Highs are normal about DayMaxC with DaySDC.
func HeatDays(b HeatTolerance, s Surroundings) float64 {
	return 7 * (1 - shareBelow(HeatLimitC(b, s), s.DayMaxC, s.DaySDC))
}

// HeatLayFactor multiplies the rate of lay by the daily mean temperature of
// acclimatised grown hens with water and enough protein: 1 up to 27 C, 0.90 at
// 31 C, 0.82 at 35 C, then 4 points a degree down to 0.4. The line lies inside
// the range of two reviews of over a hundred trials (-9 to -23 % between 30 and
// 35 C); hens met by sudden heat do worse, and may die.
func HeatLayFactor(meanC float64) float64 {
	return onLine(meanC, 27, 1, 31, 0.90, 35, 0.82, 45.5, 0.40)
}

// ColdLayFactor multiplies the rate of lay by the daily mean temperature where
// the hens are: 1 from 13 C up, about 0.97 at 10 C (one weak trial), 0.93 at
// freezing, 0.90 at -5, 0.80 at -15, 0.70 at -30 (common practice), with water
// kept from freezing. The light of winter is another factor; curves fitted in
// cold winters already hold part of this one.
func ColdLayFactor(meanC float64) float64 {
	return onLine(meanC, -30, 0.70, -15, 0.80, -5, 0.90, 0, 0.93, 10, 0.97, 13, 1)
}

// HeatFeedFactor is the feed a hen takes at a daily mean temperature against
// that at 21 C: 1.6 % less for each degree from 21 to 31 C, 4.6 % of that for
// each degree above, to 0.5 at the least; 1 below 21 C.
func HeatFeedFactor(meanC float64) float64 {
	mild := 1 - 0.016*min(10, max(0, meanC-21))
	return max(0.5, mild*(1-0.046*max(0, meanC-31)))
}

// HeatAppetite corrects an energy need that already falls by about 1.05 % a
// degree (the NRC equation) to what hens really eat in heat: 1 up to 21 C, 0.94 at
// 30 C, 0.77 at 35 C. Multiply the need by it; a hen that eats less than her need
// loses weight and lays less.
func HeatAppetite(meanC float64) float64 {
	need := 1 - 0.0105*max(0, min(45, meanC)-21)
	return HeatFeedFactor(meanC) / need
}

// onLine joins points (x, y) given in rising x, and stays level beyond the ends.
func onLine(x float64, points ...float64) float64 {
	if !(x > points[0]) {
		return points[1]
	}
	for i := 2; i < len(points); i += 2 {
		if x <= points[i] {
			u := (x - points[i-2]) / (points[i] - points[i-2])
			return points[i-1] + u*(points[i+1]-points[i-1])
		}
	}
	return points[len(points)-1]
}

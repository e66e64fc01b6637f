package hatch

// BroodyProfile is the weeks a hen is out of lay when she is given eggs. The
// weeks run from the one in which she goes broody.
type BroodyProfile struct {
	SitWeeks     int
	RearWeeks    int
	RecoverWeeks int
}

// UsualProfile is 21 days on the eggs, six weeks with the chicks and two until
// she lays again: eleven weeks. Hens leave chicks at four to ten weeks, sooner
// in warm weather and light breeds; chicks may be taken at four with feed only
// they can reach. Keys: hatch-hossen, hatch-sazzad, practice.
func UsualProfile() BroodyProfile { return BroodyProfile{SitWeeks: 3, RearWeeks: 6, RecoverWeeks: 2} }

// Weeks out of lay in all.
func (p BroodyProfile) Weeks() int { return p.SitWeeks + p.RearWeeks + p.RecoverWeeks }

// Share of a full week's lay that is lost in week i after she went broody.
func (p BroodyProfile) Share(i int) float64 {
	if i < 0 || i >= p.Weeks() {
		return 0
	}
	return 1
}

// brokenShare is what the flock's ordinary course has lost already to a broody
// broken early: the first week whole, seven tenths of the second.
var brokenShare = [...]float64{1, 0.7}

// MoreThanBroken is the share of week i's lay that sitting costs over and above
// a spell broken early. The flock's course counts every broody as broken, so a
// setting subtracts this and never both.
func (p BroodyProfile) MoreThanBroken(i int) float64 {
	share := p.Share(i)
	if i >= 0 && i < len(brokenShare) {
		share -= min(share, brokenShare[i])
	}
	return share
}

// EggsLost sums the eggs that one hen does not lay; rate(i) is the eggs a day
// she would have laid in week i.
func (p BroodyProfile) EggsLost(rate func(week int) float64) float64 {
	lost := 0.0
	for i := range p.Weeks() {
		lost += 7 * p.Share(i) * rate(i)
	}
	return lost
}

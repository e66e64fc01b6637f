package daybook

import "henyear/measure"

// coin is one payment: above 0 spent, below 0 received.
type coin struct {
	day   dayNumber
	minor measure.Money
	group ID
	feed  bool // for feed, which the measures count when it is eaten
	eggs  bool // received for eggs, which is no part of what an egg costs
}

// kill is one butchering.
type kill struct {
	day dayNumber
	*Butchered
}

func (b *Book) applyMoney(p Payload, day dayNumber) {
	c := coin{day: day}
	switch p := p.(type) {
	case *EggsOut:
		c.minor, c.eggs = -p.ReceivedMinor, true
	case *BirdsIn:
		c.minor, c.group = p.PaidMinor, p.Group
	case *BirdsOut:
		c.minor, c.group = -p.ReceivedMinor, p.Group
	case *Setting:
		c.minor, c.group = p.PaidMinor, p.Group
	case *Feed:
		c.minor, c.group, c.feed = p.PaidMinor, p.Group, true
	case *Money:
		c.minor, c.group, c.eggs = p.AmountMinor, p.Group, p.Way == "in" && p.For == "eggs"
		if p.Way == "in" {
			c.minor = -p.AmountMinor
		}
	}
	if c.minor != 0 {
		b.coins = append(b.coins, c)
	}
}

// Cash is money within a period, in the smallest coin.
type Cash struct {
	Spent        measure.Money `json:"spent_minor"` // everything paid
	Feed         measure.Money `json:"feed_minor"`  // of it, for feed
	Received     measure.Money `json:"received_minor"`
	ReceivedEggs measure.Money `json:"received_eggs_minor"` // of it, for eggs
}

// CashIn adds up what was paid and received within a period.
func (b *Book) CashIn(p Period) Cash {
	var sum Cash
	a, z := numberOf(p.From), numberOf(p.Through)
	for _, c := range b.coins {
		if c.day < a || c.day > z {
			continue
		}
		switch {
		case c.minor > 0 && c.feed:
			sum.Spent += c.minor
			sum.Feed += c.minor
		case c.minor > 0:
			sum.Spent += c.minor
		case c.eggs:
			sum.Received -= c.minor
			sum.ReceivedEggs -= c.minor
		default:
			sum.Received -= c.minor
		}
	}
	return sum
}

// besideFeed is what birds, bedding and all else cost within a period, less what
// birds and all else but eggs brought.
func (b *Book) besideFeed(a, z dayNumber, s Scope) measure.Money {
	sum := measure.Money(0)
	for _, c := range b.coins {
		if a <= c.day && c.day <= z && !c.feed && !c.eggs && (s.whole() || c.group == s.Group) {
			sum += c.minor
		}
	}
	return sum
}

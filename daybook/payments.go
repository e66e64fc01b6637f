package daybook

import "henyear/measure"

// Payment is money that changed hands on one day, as a record has it. One of
// Paid and Received is 0.
type Payment struct {
	On       measure.Date
	For      string // "feed", "eggs", "other"
	Group    string // name of the birds that it was for; empty: all, or not known
	Paid     measure.Money
	Received measure.Money
}

// Payments lists all money of the book in order. Their sums over a period are
// those of CashIn.
func (b *Book) Payments() []Payment {
	list := make([]Payment, 0, len(b.coins))
	for _, c := range b.coins {
		p := Payment{On: c.day.date(), For: "other"}
		switch {
		case c.feed:
			p.For = "feed"
		case c.eggs:
			p.For = "eggs"
		}
		if !c.group.IsZero() {
			p.Group = b.names.group(c.group)
		}
		if p.Paid = c.minor; c.minor < 0 {
			p.Paid, p.Received = 0, -c.minor
		}
		list = append(list, p)
	}
	return list
}

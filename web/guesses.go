package web

import (
	"net/netip"
	"sync"
	"time"
)

// guesses slows down whoever tries passphrases: after a few wrong ones an
// address waits, twice as long after each, up to a quarter of an hour; and when
// many addresses try together, all wait a little.
type guesses struct {
	*sync.Mutex
	from map[netip.Prefix]*guess
	all  guess
}

type guess struct {
	wrong int
	until time.Time
	last  time.Time
}

func newGuesses() guesses { return guesses{new(sync.Mutex), map[netip.Prefix]*guess{}, guess{}} }

const (
	freeGuesses    = 3  // slips of a cold thumb
	freeGuessesAll = 30 // of all addresses together
	longestWait    = 15 * time.Minute
	longestWaitAll = 10 * time.Second
	forgotten      = 24 * time.Hour
	mostGuessers   = 4096
)

// neighbourhood is the address itself, or for IPv6 the network that one device
// may choose its addresses from.
func neighbourhood(ip netip.Addr) netip.Prefix {
	ip = ip.Unmap()
	bits := ip.BitLen()
	if ip.Is6() {
		bits = 64
	}
	p, _ := ip.WithZone("").Prefix(bits)
	return p
}

// wait tells how long an address has to wait before its next guess, and counts
// the guess as wrong until right is called: guesses made side by side do not
// slip through.
func (g *guesses) wait(ip netip.Addr, now time.Time) time.Duration {
	g.Lock()
	defer g.Unlock()
	key := neighbourhood(ip)
	one := g.from[key]
	if one == nil || now.Sub(one.last) > forgotten {
		if len(g.from) >= mostGuessers {
			clear(g.from) // the wait of all remains
		}
		one = &guess{}
		g.from[key] = one
	}
	if now.Sub(g.all.last) > forgotten {
		g.all = guess{}
	}
	if left := max(one.until.Sub(now), g.all.until.Sub(now)); left > 0 {
		return left
	}
	one.count(now, freeGuesses, longestWait)
	g.all.count(now, freeGuessesAll, longestWaitAll)
	return 0
}

func (x *guess) count(now time.Time, free int, longest time.Duration) {
	x.wrong++
	x.last = now
	if over := x.wrong - free; over >= 0 {
		x.until = now.Add(min(longest, time.Second<<min(over, 20)))
	}
}

// right forgets the wrong guesses of an address.
func (g *guesses) right(ip netip.Addr) {
	g.Lock()
	defer g.Unlock()
	delete(g.from, neighbourhood(ip))
	g.all.wrong = max(0, g.all.wrong-1)
	if g.all.wrong < freeGuessesAll {
		g.all.until = time.Time{}
	}
}

package holding

import "strings"

// nearest returns the candidate that a slip of the pen most likely meant, or
// "" when none is near: at most one slip in three letters.
func nearest(written string, candidates []string) string {
	best, bestSlips := "", len([]rune(written))/3+1
	if len(written) > MaxText {
		return ""
	}
	for _, c := range candidates {
		if d := slips(strings.ToLower(written), strings.ToLower(c)); d < bestSlips {
			best, bestSlips = c, d
		}
	}
	if best == "" {
		best = containing(written, candidates)
	}
	return best
}

// containing finds the shortest candidate that holds the written word, or is
// held by it: "orpington buff" for "orpington".
func containing(written string, candidates []string) string {
	w := strings.ToLower(strings.TrimSpace(written))
	best := ""
	if len(w) < 4 {
		return best
	}
	for _, c := range candidates {
		l := strings.ToLower(c)
		if strings.Contains(l, w) || len(l) >= 4 && strings.Contains(w, l) {
			if best == "" || len(c) < len(best) {
				best = c
			}
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with their neighbour
// between two words (the optimal string alignment distance).
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last, now := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		now[0] = i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last, now = last, now, before
	}
	return last[len(y)]
}

package source

import "slices"

// Working opens a figure: how it was reckoned, from what, and how far it may be
// trusted. A page shows it when a reader asks for it.
type Working struct {
	Code       string         `json:"code"`    // stable name of the figure, such as comb-nights
	Formula    string         `json:"formula"` // in plain letters and words
	Inputs     []WorkingInput `json:"inputs"`
	Keys       []string       `json:"keys"`       // every source, in the bibliography
	Confidence Kind           `json:"confidence"` // the weakest of the sources
	Range      string         `json:"range"`      // what low and high mean; empty where there is no range
}

// WorkingInput is one of the things a figure was reckoned from: a number with
// its unit, or a word.
type WorkingInput struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Text  string  `json:"text,omitempty"` // in place of a number
	Unit  string  `json:"unit,omitempty"`
	Key   string  `json:"key,omitempty"` // source of the value, where it has one of its own
}

// Given is a number that goes into a figure, with the source of its own where it
// has one.
func Given(name string, value float64, unit string, key ...string) WorkingInput {
	in := WorkingInput{Name: name, Value: value, Unit: unit}
	if len(key) > 0 {
		in.Key = key[0]
	}
	return in
}

// NewWorking sets out a figure. Keys of inputs come after those of the formula;
// none stands twice.
func NewWorking(code, formula, span string, keys []string, inputs ...WorkingInput) Working {
	w := Working{Code: code, Formula: formula, Range: span, Inputs: inputs}
	for _, in := range inputs {
		keys = append(keys[:len(keys):len(keys)], in.Key)
	}
	for _, key := range keys {
		if key != "" && !slices.Contains(w.Keys, key) {
			w.Keys = append(w.Keys, key)
		}
	}
	w.Confidence = Weakest(w.Keys...)
	return w
}

// trust orders the kinds from the strongest.
var trust = []Kind{Published, Memory, Practice, Guess}

// Weakest is the kind of the weakest of some sources. A key that is not in the
// bibliography, and no key at all, count as a guess.
func Weakest(keys ...string) Kind {
	weakest := -1
	for _, key := range keys {
		entry, known := Lookup(key)
		if !known {
			return Guess
		}
		weakest = max(weakest, slices.Index(trust, entry.Kind))
	}
	if weakest < 0 {
		return Guess
	}
	return trust[weakest]
}

package holding

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"henyear/housing"
	"henyear/measure"

	"github.com/pelletier/go-toml/v2/unstable"
)

// MaxLayers of one wall.
const MaxLayers = 12

const layerExample = `write a list from the inside out, each a material and its thickness in mm, as ["boards 18", "mineral-wool 50 between", "plywood 12"]`

// layers reads a wall, roof or floor from the inside out.
func (s *section) layers(key string) (housing.Section, bool) {
	n := s.find(key)
	if n == nil {
		return housing.Section{}, false
	}
	items := []*node{n}
	if n.kind == unstable.Array {
		items = n.items
	}
	if len(items) == 0 {
		s.fault(n.line, key, "has no layers", layerExample+`; a wall of sheet metal is ["metal"]`)
	}
	if len(items) > MaxLayers {
		s.fault(n.line, key, fmt.Sprintf("has %d layers, more than %d", len(items), MaxLayers), "join layers of one material")
		return housing.Section{}, true
	}
	var told housing.Section
	for i, item := range items {
		field := key
		if n.kind == unstable.Array {
			field = fmt.Sprintf("%s (layer %d)", key, i+1)
		}
		if item.kind != unstable.String || len(item.text) > MaxText {
			s.fault(item.line, field, "is not a material with its thickness", layerExample)
			continue
		}
		l, what, right := parseLayer(item.text)
		if what != "" {
			s.fault(item.line, field, what, right)
			continue
		}
		told.Layers = append(told.Layers, l)
	}
	return told, true
}

// Names that keepers have for materials, beside the keys of the housing room.
var materialNames = map[string]string{"boards": "softwood", "board": "softwood", "planks": "softwood", "wood": "softwood", "logs": "softwood",
	"mineral_wool": "batt", "glass_wool": "batt", "rock_wool": "batt", "wool": "batt", "polystyrene": "eps", "chipboard": "osb", "ply": "plywood",
	"sheet_metal": "metal", "tin": "metal", "felt": "shingle", "bricks": "brick", "blocks": "block", "earth": "soil"}

var unitAtNumber = regexp.MustCompile(`(\d)(mm|in)\b`)

// parseLayer reads "mineral-wool 50 between"; what is the fault, if any.
func parseLayer(text string) (l housing.Layer, what, right string) {
	words := strings.Fields(unitAtNumber.ReplaceAllString(strings.ToLower(text), "$1 $2"))
	if n := len(words); n > 0 && words[n-1] == "between" {
		l.Between, words = true, words[:n-1]
	}
	inches, i := false, len(words)
	if i > 0 && slices.Contains([]string{"mm", "in", "inch", "inches"}, words[i-1]) {
		inches, i = words[i-1] != "mm", i-1
	}
	last := i
	for i > 0 && words[i-1] != "" && words[i-1][0] <= '9' {
		i--
	}
	measured := words[i:last]
	written := strings.Join(words[:i], " ")
	name := strings.NewReplacer("-", "_", " ", "_").Replace(written)
	m, advice := materialNamed(name)
	if advice != "" {
		return l, fmt.Sprintf("is %q, which names no material known here", cut(text)), advice
	}
	l.Material = m.Key
	if len(measured) == 0 {
		if m.RPerM > 0 || l.Between {
			return l, fmt.Sprintf("is %q, without its thickness", cut(text)), fmt.Sprintf("write it in mm behind the name, as %q, or in inches as %q", written+" 18", written+" 0.75 in")
		}
		return l, "", ""
	}
	mm, ok := thickness(measured)
	if inches {
		mm *= measure.MMPerInch
	}
	if !ok || !(mm >= 0.1 && mm <= 2000) {
		return l, fmt.Sprintf("is %q, whose thickness is not from 0.1 to 2000 mm", cut(text)), layerExample
	}
	l.MM = mm
	return l, "", ""
}

func materialNamed(name string) (m housing.Material, advice string) {
	if key, ok := materialNames[name]; ok {
		name = key
	}
	list := housing.Materials()
	known := make([]string, 0, len(list)+len(materialNames))
	for _, m := range list {
		if m.Key == name {
			return m, ""
		}
		known = append(known, m.Key)
	}
	keys := slices.Clone(known)
	for other := range materialNames {
		known = append(known, other)
	}
	slices.Sort(known)
	if near := nearest(name, known); near != "" {
		return m, fmt.Sprintf("did you mean %q?", strings.ReplaceAll(near, "_", "-"))
	}
	return m, "write one of " + strings.ReplaceAll(strings.Join(keys, ", "), "_", "-")
}

// thickness reads "18", "0.75", "3/4" and "1 1/2".
func thickness(words []string) (float64, bool) {
	sum := 0.0
	for i, word := range words {
		over, under, fraction := strings.Cut(word, "/")
		v, err := strconv.ParseFloat(over, 64)
		if err == nil && fraction {
			d := 0.0
			d, err = strconv.ParseFloat(under, 64)
			v /= d
		}
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || v < 0 || i > 1 || (i == 1) != fraction && len(words) > 1 {
			return 0, false
		}
		sum += v
	}
	return sum, true
}

// plainNames are what a keeper says for the trade's word.
var plainNames = map[string]string{"softwood": "boards", "batt": "mineral-wool"}

// ParseLayers reads a wall, roof or floor written on one line, from the inside out:
// "boards 18, mineral-wool 50 between, plywood 12". The error is a sentence.
func ParseLayers(text string) (housing.Section, error) {
	var s housing.Section
	parts := strings.FieldsFunc(strings.Trim(text, " ,;"), func(r rune) bool { return r == ',' || r == ';' })
	if len(parts) > MaxLayers {
		return s, fmt.Errorf("there are %d layers, more than %d; join layers of one material", len(parts), MaxLayers)
	}
	for i, part := range parts {
		l, what, right := parseLayer(part)
		if what != "" {
			return s, fmt.Errorf("layer %d %s; %s", i+1, what, strings.Replace(right, layerExample, lineExample, 1))
		}
		s.Layers = append(s.Layers, l)
	}
	return s, nil
}

const lineExample = "write materials with their thickness in mm from the inside out, as in: boards 18, mineral-wool 50 between, plywood 12"

// LayersText writes a wall, roof or floor as ParseLayers reads it, to a tenth of a
// millimetre or a hundredth of an inch.
func LayersText(s housing.Section, units measure.Units) string {
	parts, mm := 10.0, 1.0
	if units == measure.US {
		parts, mm = 100, measure.MMPerInch
	}
	texts := make([]string, len(s.Layers))
	for i, l := range s.Layers {
		if l.MM > 0 {
			l.MM = max(1, math.Round(l.MM/mm*parts)) / parts * mm
		}
		texts[i] = layerText(l, units)
	}
	return strings.Join(texts, ", ")
}

// layerText writes a layer as parseLayer reads it; in inches where that gives the
// same thickness back.
func layerText(l housing.Layer, units measure.Units) string {
	text := strings.ReplaceAll(l.Material, "_", "-")
	if plain, ok := plainNames[l.Material]; ok {
		text = plain
	}
	if l.MM > 0 {
		inches, ok := 0.0, false
		if units == measure.US {
			inches, ok = before(l.MM, l.MM/measure.MMPerInch, func(v float64) float64 { return v * measure.MMPerInch })
		}
		if ok {
			text += " " + exact(inches) + " in"
		} else {
			text += " " + exact(l.MM)
		}
	}
	if l.Between {
		text += " between"
	}
	return text
}

// layersText writes a section for a sentence.
func layersText(s housing.Section) string {
	texts := make([]string, len(s.Layers))
	for i, l := range s.Layers {
		texts[i] = layerText(l, measure.Metric)
		if l.MM > 0 {
			texts[i] += " mm"
		}
	}
	return strings.Join(texts, ", ")
}

package solve
func (m *Model) RelaxWholes(keep func(string) bool) *Model { for j := range m.columns { if m.columns[j].whole && !keep(m.columns[j].name) { m.columns[j].whole=false; m.wholes-- } }; return m }

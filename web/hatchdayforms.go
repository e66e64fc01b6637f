package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/hatch"
	"henyear/measure"
)

// The boxes of the two forms, by the names of their fields in the records.
var (
	lookFields   = []string{"clear", "dead", "blood_ring", "broken", "weighed", "weight_g", "humidity_pct"}
	openedFields = []string{"chicks", "culled", "clear", "blood_ring", "mid_dead", "dead_in_shell", "wrong_way", "pipped_dead"}
)

// decimal fields take a fraction.
var decimalFields = []string{"weight_g", "humidity_pct"}

func fieldsOf(form string, names []string, values, faults map[string]string) []hatchField {
	var list []hatchField
	for _, name := range names {
		f := hatchField{Name: name, Label: say("hatchday." + form + "." + name), Value: values[name], Fault: faults[name], Mode: "numeric"}
		if hint := "hatchday." + form + "." + name + ".hint"; english[hint] != "" {
			f.Hint = say(hint)
		}
		if unit, ok := map[string]string{"weight_g": "g", "humidity_pct": "%"}[name]; ok {
			f.Unit, f.Mode = unit, "decimal"
		}
		list = append(list, f)
	}
	return list
}

func lookForm(today measure.Date, sent url.Values, faults map[string]string) hatchForm {
	f := hatchForm{ID: freshID().String(), On: today.String(), Faults: faults, Values: map[string]string{}}
	if sent != nil {
		f.ID, f.On, f.Values = sent.Get("id"), sent.Get("happened_on"), flat(sent)
	}
	f.Fields = fieldsOf("look", lookFields, f.Values, faults)
	return f
}

// openedForm holds what the record of the hatch has already, so that the keeper
// adds what was found in the shells.
func (s *Server) openedForm(b *daybook.Book, d *calendar.HatchDay, sent url.Values, faults map[string]string) hatchForm {
	f := hatchForm{ID: freshID().String(), SecondID: freshID().String(), NewGroup: freshID().String(), On: s.date().String(), Faults: faults, Values: map[string]string{}}
	signs := []string{}
	chosen := "new"
	if was, p := hatchRecord(b, d); p != nil {
		f.Correcting, f.On = true, was.HappenedOn.String()
		for name, n := range map[string]int{"chicks": p.Chicks, "culled": p.Culled, "clear": p.Clear, "blood_ring": p.BloodRing, "mid_dead": p.MidDead,
			"dead_in_shell": p.DeadInShell, "wrong_way": p.WrongWay, "pipped_dead": p.PippedDead} {
			if n > 0 || name == "chicks" {
				f.Values[name] = strconv.Itoa(n)
			}
		}
		signs = p.Signs
		if !p.Group.IsZero() {
			chosen = p.Group.String()
		}
	}
	f.GroupName = say("hatchday.opened.group_usual", breedName(d.Breed), strconv.Itoa(s.date().Year))
	if sent != nil {
		f.ID, f.SecondID, f.NewGroup, f.On, f.Values, signs = sent.Get("id"), sent.Get("second_id"), sent.Get("new_group"), sent.Get("happened_on"), flat(sent), sent["signs"]
		chosen, f.GroupName = sent.Get("group"), sent.Get("group_name")
	}
	f.Groups = append(f.Groups, choice{Value: "new", Label: say("choice.new"), Chosen: chosen == "new"})
	known := false
	for _, g := range b.GroupsOn(s.date()) {
		id := g.Group.Group.String()
		known = known || id == chosen
		f.Groups = append(f.Groups, choice{Value: id, Label: groupName(g.Group), Chosen: id == chosen})
	}
	if id, err := daybook.ParseID(chosen); err == nil && !known {
		info, _ := b.GroupInfo(id)
		f.Groups = append(f.Groups, choice{Value: chosen, Label: groupName(info), Chosen: true})
	}
	for _, sign := range hatch.Signs {
		f.Signs = append(f.Signs, choice{Value: sign, Label: say("hatchday.found." + sign), Chosen: slices.Contains(signs, sign)})
	}
	f.Fields = fieldsOf("opened", openedFields, f.Values, faults)
	return f
}

// hatchRecord is the record by which a setting ended; nil when it has not.
func hatchRecord(b *daybook.Book, d *calendar.HatchDay) (daybook.Event, *daybook.Hatch) {
	id := d.Found().HatchRecord
	for _, r := range slices.Backward(b.Records) {
		if p, is := r.Payload.(*daybook.Hatch); is && r.Event.ID == id && !id.IsZero() {
			return r.Event, p
		}
	}
	return daybook.Event{}, nil
}

// readCounts reads the boxes of a form into the content of a record.
func readCounts(sent url.Values, names []string, content map[string]any, faults map[string]string) {
	for _, name := range names {
		text := strings.TrimSpace(sent.Get(name))
		delete(content, name)
		if text == "" {
			continue
		}
		x, err := parseNumber(text, 0, 1e6)
		if err == nil && x != float64(int(x)) && !slices.Contains(decimalFields, name) {
			err = fmt.Errorf("%s", say("field.whole", text))
		}
		if err != nil {
			faults[name] = capitalised(err.Error())
			continue
		}
		if x != 0 {
			content[name] = x
		}
	}
}

// formStart reads what both forms begin with.
func (s *Server) formStart(w http.ResponseWriter, r *http.Request) (sent url.Values, setting, id daybook.ID, on measure.Date, faults map[string]string, ok bool) {
	if sent, _, ok = s.readEntry(w, r); !ok {
		return
	}
	setting, ok = settingID(r.PathValue("id"))
	if !ok {
		s.fail(w, r, http.StatusNotFound, "hatchday.none")
		return
	}
	faults = map[string]string{}
	on, err := measure.ParseDate(sent.Get("happened_on"))
	if err != nil {
		faults["happened_on"] = capitalised(err.Error())
	}
	if id, err = daybook.ParseID(sent.Get("id")); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return sent, setting, id, on, faults, false
	}
	return sent, setting, id, on, faults, true
}

// addLook takes a candling or weighing.
func (s *Server) addLook(w http.ResponseWriter, r *http.Request) {
	sent, setting, id, on, faults, ok := s.formStart(w, r)
	if !ok {
		return
	}
	content := map[string]any{"setting": setting.String()}
	readCounts(sent, lookFields, content, faults)
	// Rings of blood are dead eggs; a keeper who writes only the rings means so.
	if rings, has := content["blood_ring"].(float64); has && content["dead"] == nil {
		content["dead"] = rings
	}
	now := s.now()
	if len(faults) == 0 {
		faults = s.keepChecked(r, []daybook.Event{rawEvent(id, "candling", on, now, visitorOf(r).Name, content)}, lookFields)
	}
	if len(faults) > 0 {
		s.hatchPage(w, r, http.StatusUnprocessableEntity, sent, "look", faults)
		return
	}
	http.Redirect(w, r, "/work/hatch/"+r.PathValue("id"), http.StatusSeeOther)
}

// addOpened takes the hatch with what was found in the shells: a new record, or
// one in the place of that which ended the setting.
func (s *Server) addOpened(w http.ResponseWriter, r *http.Request) {
	sent, setting, id, on, faults, ok := s.formStart(w, r)
	if !ok {
		return
	}
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	content := map[string]any{"setting": setting.String()}
	var supersedes []daybook.ID
	for _, x := range b.Settings() {
		if x.Setting.Setting != setting || x.HatchRecord.IsZero() || x.HatchRecord == id {
			continue
		}
		was, err := s.Daybook.EventByID(r.Context(), x.HatchRecord)
		if err != nil || json.Unmarshal(was.Event.Payload, &content) != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.daybook")
			return
		}
		supersedes = []daybook.ID{x.HatchRecord}
	}
	readCounts(sent, openedFields, content, faults)
	if content["chicks"] == nil {
		content["chicks"] = 0.0
	}
	if left, over := eggsOver(b, setting, content); over && len(faults) == 0 {
		faults[""] = say("hatchday.opened.over", countOf(left))
	}
	delete(content, "signs")
	if signs := sent["signs"]; len(signs) > 0 {
		content["signs"] = signs
	}
	now := s.now()
	var events []daybook.Event
	delete(content, "group")
	chicks, _ := content["chicks"].(float64)
	culled, _ := content["culled"].(float64)
	switch group := sent.Get("group"); {
	case chicks <= culled:
	case group == "new":
		fresh, err1 := daybook.ParseID(sent.Get("new_group"))
		second, err2 := daybook.ParseID(sent.Get("second_id"))
		if err1 != nil || err2 != nil {
			s.fail(w, r, http.StatusBadRequest, "error.form")
			return
		}
		content["group"] = fresh.String()
		named := map[string]any{"group": fresh.String(), "name": strings.TrimSpace(sent.Get("group_name")), "sex": daybook.Unsexed, "hatched": on.String()}
		for _, x := range b.Settings() {
			if x.Setting.Setting == setting && x.Breed != "" {
				named["breed"] = x.Breed
			}
		}
		events = append(events, rawEvent(second, "group", on, now, visitorOf(r).Name, named))
	default:
		content["group"] = group
	}
	if len(faults) == 0 {
		e := rawEvent(id, "hatch", on, now, visitorOf(r).Name, content)
		e.Supersedes = supersedes
		faults = s.keepChecked(r, append(events, e), openedFields)
	}
	if len(faults) > 0 {
		s.hatchPage(w, r, http.StatusUnprocessableEntity, sent, "opened", faults)
		return
	}
	http.Redirect(w, r, "/work/hatch/"+r.PathValue("id")+"#opened", http.StatusSeeOther)
}

// eggsOver tells whether chicks and shells are more than the eggs that were left
// after the candlings, and how many those were.
func eggsOver(b *daybook.Book, setting daybook.ID, content map[string]any) (left int, over bool) {
	for _, r := range b.Records {
		switch p := r.Payload.(type) {
		case *daybook.Setting:
			if p.Setting == setting {
				left += p.Eggs
			}
		case *daybook.Candling:
			if p.Setting == setting {
				left -= p.Clear + p.Dead + p.Broken
			}
		}
	}
	sum := 0.0
	for _, name := range []string{"chicks", "clear", "blood_ring", "mid_dead", "dead_in_shell", "pipped_dead"} {
		x, _ := content[name].(float64)
		sum += x
	}
	return left, sum > float64(left)
}

// keepChecked validates all records before any is kept, and puts what is wrong
// beside its box.
func (s *Server) keepChecked(r *http.Request, events []daybook.Event, boxes []string) map[string]string {
	for _, e := range events {
		if err := daybook.Validate(e); err != nil {
			name, sentence, found := strings.Cut(err.Error(), ": ")
			if found && (slices.Contains(boxes, name) || name == "happened_on") {
				return map[string]string{name: capitalised(sentence)}
			}
			return map[string]string{"": capitalised(err.Error())}
		}
	}
	return s.keep(r, events, s.now())
}

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
)

// workCommand prints the dated work list.
type workCommand struct {
	File string       `arg:"" optional:"" help:"A holding file to plan first; without it, the plan kept last, moved with the daybook."`
	Plan string       `placeholder:"PLAN" help:"With FILE: a plan of it that was printed before with henyear plan --json, instead of planning anew."`
	From measure.Date `placeholder:"DATE" help:"Leave out what comes before this day; the day of the list when left out."`
	To   measure.Date `placeholder:"DATE" help:"Leave out what comes after this day; four weeks later when left out."`
	All  bool         `help:"Also what is done or has fallen away."`
	solving
	Data string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

func (c workCommand) Validate() error {
	switch {
	case !c.From.IsZero() && !c.To.IsZero() && c.To.Before(c.From):
		return errors.New("--to lies before --from")
	case c.Plan != "" && c.File == "":
		return errors.New("--plan needs the holding file that the plan was made of as well")
	}
	return c.solving.Validate()
}

// weeksListed is how far ahead the list goes unless more is asked for.
const weeksListed = 4

// Run prints the work from one day to another.
func (c workCommand) Run(ctx context.Context, t terminal) error {
	h, err := c.household(ctx, t)
	if err != nil {
		return err
	}
	from, to := c.From, c.To
	if from.IsZero() {
		from = h.today
		if !to.IsZero() && to.Before(from) {
			from = to
		}
	}
	if to.IsZero() {
		to = from.AddDays(7*weeksListed - 1)
	}
	list, err := h.workList(from, to)
	if err != nil {
		return badInput{err}
	}
	if c.JSON {
		return writeJSON(t.out, list)
	}
	return writeWork(t.out, list, c.All, widthOf(t.out))
}

func (c workCommand) household(ctx context.Context, t terminal) (household, error) {
	switch {
	case c.Plan != "":
		return c.fromPlan(t)
	case c.File != "":
		return planned(ctx, t, c.File, c.solving)
	}
	day := c.AsOf
	if day.IsZero() {
		day = today()
	}
	return kept(ctx, c.Data, day)
}

// fromPlan reads a holding and a plan that was printed as JSON. Without --as-of
// the list is that of the day of the plan.
func (c workCommand) fromPlan(t terminal) (household, error) {
	h, _, err := readHolding(t, c.File, c.AsOf)
	if err != nil {
		return household{}, err
	}
	text, name, err := readInput(t, c.Plan)
	if err != nil {
		return household{}, err
	}
	p := new(plan.Plan)
	if err := json.Unmarshal(text, p); err != nil || p.Format == 0 || p.AsOf.IsZero() {
		return household{}, badInput{fmt.Errorf("%s is not a plan; make one with: henyear plan %s --json > plan.json", name, c.File)}
	}
	if p.Format > planFormat {
		return household{}, badInput{fmt.Errorf("%s was made by a newer henyear", name)}
	}
	if p.Holding != h.Name {
		return household{}, badInput{fmt.Errorf("%s is a plan for %s, and %s describes %s; give the two that belong together", name, p.Holding, c.File, h.Name)}
	}
	day := c.AsOf
	if day.IsZero() {
		day = p.AsOf
	}
	return household{holding: h, plan: p, today: day, id: h.Name, changed: p.AsOf.Time()}, nil
}

// writeWork prints a list by day, within a width.
func writeWork(out io.Writer, l *calendar.List, all bool, width int) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "The work of %s, %s to %s\n", l.Holding, l.From.Words(), l.To.Words())
	for _, n := range l.Notes {
		wrapped(&b, n.Text, "", width)
	}
	for _, a := range l.Away {
		wrapped(&b, fmt.Sprintf("Away from %s to %s.", a.From.Words(), a.To.Words()), "", width)
	}
	var late []calendar.Task
	for _, day := range l.Days() {
		head := false
		for _, t := range day.Tasks {
			switch {
			case t.State == calendar.Missed:
				late = append(late, t)
				continue
			case !all && (t.State == calendar.Done || t.State == calendar.Gone):
				continue
			}
			if !head {
				head = true
				since := ""
				if t.On.Before(l.Today) && t.State == calendar.Due {
					since = "Open since "
				}
				fmt.Fprintf(&b, "\n%s%s %s\n", since, t.On.Time().Weekday(), t.On.Words())
			}
			writeJob(&b, t, width)
		}
	}
	if len(late) > 0 {
		b.WriteString("\nMissed, and still worth a thought\n")
		for _, t := range late {
			writeJob(&b, t, width)
		}
	}
	b.WriteString("\nMinutes of work by week\n")
	for _, w := range l.Load {
		fmt.Fprintf(&b, "  %s  %5.0f\n", w.Week, w.Minutes)
	}
	_, err := out.Write(b.Bytes())
	return err
}

var boxes = map[calendar.State]string{calendar.Done: "[x]", calendar.Gone: "[-]", calendar.Missed: "[!]"}

func writeJob(b *bytes.Buffer, t calendar.Task, width int) {
	box := boxes[t.State]
	if box == "" {
		box = "[ ]"
	}
	wrapped(b, box+" "+t.What.Text, "    ", width)
	about := []string{minutesOfWork(t.Minutes), map[calendar.Who]string{calendar.Anyone: "anyone", calendar.Keeper: "the keeper",
		calendar.Two: "two people", calendar.Skilled: "a trained person"}[t.Who]}
	switch {
	case t.State == calendar.Done:
		about = append(about, "done on "+t.DoneOn.Words())
	case t.State == calendar.Missed:
		about = append(about, "was due by "+t.Last.Words())
	case t.Every == 1:
		about = append(about, "every day to "+t.Last.Words())
	case t.Every > 1:
		about = append(about, fmt.Sprintf("every %d days to %s", t.Every, t.Last.Words()))
	case t.Last != t.On:
		about = append(about, "until "+t.Last.Words())
	}
	if t.Clock >= 0 {
		about = append(about, fmt.Sprintf("at %d:%02d", t.Clock/60, t.Clock%60))
	}
	wrapped(b, "    "+strings.Join(about, ", "), "    ", width)
	if t.Caution != nil && t.State != calendar.Done {
		wrapped(b, "    Take care: "+t.Caution.Text, "    ", width)
	}
	for _, s := range []*daybook.Sentence{t.Moved, t.Away, t.Matters} {
		if s != nil && t.State != calendar.Done {
			wrapped(b, "    "+s.Text, "    ", width)
		}
	}
}

func minutesOfWork(minutes float64) string {
	if text := fmt.Sprintf("%.0f", minutes); text != "1" {
		return text + " minutes"
	}
	return "1 minute"
}

// wrapped writes a paragraph, its further lines behind an indent.
func wrapped(b *bytes.Buffer, text, indent string, width int) {
	width = max(width, 40)
	at := 0
	lead := text[:len(text)-len(strings.TrimLeft(text, " "))]
	b.WriteString(lead)
	at = len(lead)
	first := true
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case first:
			first = false
		case at+1+n > width:
			b.WriteString("\n" + indent)
			at = len(indent)
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	b.WriteByte('\n')
}

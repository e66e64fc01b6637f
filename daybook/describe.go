package daybook

import (
	"strings"

	"henyear/measure"
)

// Names are the words by which the keeper knows groups and birds, and the money
// of the holding. The zero Names writes short identifiers instead.
type Names struct {
	Groups   map[ID]string
	Birds    map[ID]string
	Currency measure.Currency
}

func (n Names) group(id ID) string {
	if name := n.Groups[id]; name != "" {
		return name
	}
	return "group " + id.Short()
}

func (n Names) bird(id ID) string {
	if name := n.Birds[id]; name != "" {
		return name
	}
	return "bird " + id.Short()
}

// who is the bird if one is named, else the group, else the pen.
func (n Names) who(bird, group ID, pen string) string {
	switch {
	case !bird.IsZero():
		return n.bird(bird)
	case !group.IsZero():
		return n.group(group)
	case pen != "":
		return "pen " + pen
	}
	return "the flock"
}

func (n Names) money(m measure.Money) string {
	if n.Currency.Code == "" {
		return strings.TrimSpace(measure.Currency{Exponent: 2}.Format(m))
	}
	return n.Currency.Format(m)
}

// Describe says in one line what a record tells, without its date. A record that
// is not understood, or whose content is damaged, is described as that.
func Describe(e Event, n Names) Sentence {
	p, err := Decode(e)
	if err != nil {
		return describeUnread(e, err)
	}
	return p.describe(n)
}

func describeUnread(e Event, err error) Sentence {
	if !Understood(e.Kind, e.Version) {
		return say("not-understood", map[string]any{"kind": e.Kind, "version": e.Version},
			"A record called %q, version %d, written by a newer program: kept, not counted.", e.Kind, e.Version)
	}
	return say("damaged", map[string]any{"kind": e.Kind, "why": err.Error()}, "A record called %q that cannot be read (%v): kept, not counted.", e.Kind, err)
}

// phrase builds a line out of parts that may be missing.
type phrase []string

func (p *phrase) add(condition bool, text string) {
	if condition {
		*p = append(*p, text)
	}
}

func (p phrase) String() string { return strings.Join(p, ", ") + "." }

func line(code string, args map[string]any, parts phrase) Sentence {
	return Sentence{Code: code, Args: args, Text: parts.String()}
}

func (p Eggs) describe(n Names) Sentence {
	text := phrase{count(p.Number, "egg")}
	if p.Size != "" {
		text[0] += " of size " + p.Size
	}
	if p.Breed != "" {
		text[0] += " of " + p.Breed
	}
	if where := n.who(ID{}, p.Group, p.Pen); where != "the flock" {
		text[0] += " from " + where
	}
	text.add(p.Days > 1, "laid in "+count(p.Days, "day"))
	text.add(p.Broken > 0, number(p.Broken)+" more broken")
	text.add(p.EatenByHens > 0, number(p.EatenByHens)+" more eaten by the hens")
	text.add(p.SetAside > 0, number(p.SetAside)+" of them set aside for hatching")
	text.add(p.MeanG > 0, measure.Round(p.MeanG, 1)+" g each")
	return line("eggs", map[string]any{"number": p.Number, "broken": p.Broken, "eaten_by_hens": p.EatenByHens,
		"set_aside": p.SetAside, "days": p.Days, "where": n.who(ID{}, p.Group, p.Pen), "breed": p.Breed, "size": p.Size}, text)
}

func (p EggsOut) describe(n Names) Sentence {
	text := phrase{count(p.Number, "egg") + " " + p.How}
	if p.To != "" {
		text[0] += " to " + p.To
	}
	text.add(p.ReceivedMinor > 0, "for "+n.money(p.ReceivedMinor))
	return line("eggs_out", map[string]any{"number": p.Number, "how": p.How, "to": p.To, "received_minor": p.ReceivedMinor}, text)
}

func (p FirstEgg) describe(n Names) Sentence {
	who := n.who(p.Bird, p.Group, "")
	return say("first_egg", map[string]any{"who": who}, "First egg of %s.", who)
}

func (p Group) describe(n Names) Sentence {
	text := phrase{"Group " + p.Name}
	text.add(p.Breed != "", p.Breed)
	text.add(true, p.Sex)
	about := ""
	if p.HatchedAbout {
		about = "about "
	}
	text.add(!p.Hatched.IsZero(), "hatched "+about+p.Hatched.Words())
	text.add(p.Source != "", "from "+p.Source)
	return line("group", map[string]any{"name": p.Name, "breed": p.Breed, "sex": p.Sex, "hatched": p.Hatched.String()}, text)
}

func (p Bird) describe(n Names) Sentence {
	text := phrase{"Bird " + p.call()}
	text.add(p.Sex != "", p.Sex)
	text.add(p.Breed != "", p.Breed)
	text.add(!p.Group.IsZero(), "of "+n.group(p.Group))
	text.add(!p.Sire.IsZero(), "by "+n.bird(p.Sire))
	text.add(!p.Dam.IsZero(), "out of "+n.bird(p.Dam))
	return line("bird", map[string]any{"name": p.call(), "sex": p.Sex, "breed": p.Breed}, text)
}

// call is what the keeper calls the bird.
func (p Bird) call() string {
	switch {
	case p.Name != "" && p.Ring != "":
		return p.Name + " (ring " + p.Ring + ")"
	case p.Name != "":
		return p.Name
	}
	return "ring " + p.Ring
}

func (p BirdsIn) describe(n Names) Sentence {
	text := phrase{count(p.Number, "bird") + " " + p.How + ", to " + n.group(p.Group)}
	text.add(p.Pen != "", "pen "+p.Pen)
	text.add(p.From != "", "from "+p.From)
	text.add(p.PaidMinor > 0, "for "+n.money(p.PaidMinor))
	return line("birds_in", map[string]any{"number": p.Number, "how": p.How, "group": n.group(p.Group), "from": p.From, "paid_minor": p.PaidMinor}, text)
}

func (p BirdsOut) describe(n Names) Sentence {
	how := p.How
	if p.How == "not known" {
		how = "gone, nobody wrote how"
	}
	if p.How == "taken" {
		how = "taken by a predator"
		if p.Predator != "" {
			how = "taken (" + p.Predator + ")"
		}
	}
	text := phrase{count(p.Number, "bird") + " of " + n.group(p.Group) + " " + how}
	text.add(p.Cause != "", p.Cause)
	text.add(p.To != "", "to "+p.To)
	text.add(!p.Since.IsZero(), "all seen last on "+p.Since.Words())
	text.add(p.ReceivedMinor > 0, "for "+n.money(p.ReceivedMinor))
	return line("birds_out", map[string]any{"number": p.Number, "how": p.How, "group": n.group(p.Group), "predator": p.Predator,
		"cause": p.Cause, "received_minor": p.ReceivedMinor}, text)
}

func (p Butchered) describe(n Names) Sentence {
	text := phrase{count(p.Number, "bird") + " of " + n.group(p.Group) + " butchered"}
	kg, weighed := p.TotalDressedKg()
	if weighed > 0 {
		what := measure.Round(kg, 2) + " kg dressed"
		if weighed < p.Number {
			what += " for the " + number(weighed) + " that were weighed"
		}
		text.add(true, what)
	}
	return line("butchered", map[string]any{"number": p.Number, "group": n.group(p.Group), "dressed_kg": kg, "weighed": weighed}, text)
}

func (p Count) describe(n Names) Sentence {
	which := map[string]string{"": "birds", Hens: "hens", Cocks: "cocks", Unsexed: "unsexed birds"}[p.Which]
	where := ""
	if who := n.who(ID{}, p.Group, p.Pen); who != "the flock" {
		where = " in " + who
	}
	return say("count", map[string]any{"number": p.Number, "which": p.Which, "where": n.who(ID{}, p.Group, p.Pen)}, "Counted %d %s%s.", p.Number, which, where)
}

func (p Move) describe(n Names) Sentence {
	who := "All birds"
	if p.Number > 0 {
		who = count(p.Number, "bird")
	}
	text := who + " of " + n.group(p.Group) + " moved"
	if p.FromPen != "" {
		text += " from pen " + p.FromPen
	}
	if p.ToPen != "" {
		text += " to pen " + p.ToPen
	}
	if !p.ToGroup.IsZero() {
		text += " into " + n.group(p.ToGroup)
	}
	switch p.Brooder {
	case "in":
		text += " into the brooder"
	case "out":
		text += " out of the brooder"
	}
	return say("move", map[string]any{"number": p.Number, "group": n.group(p.Group), "from_pen": p.FromPen, "to_pen": p.ToPen, "brooder": p.Brooder}, "%s.", text)
}

func (p Setting) describe(n Names) Sentence {
	under := "in the machine"
	if p.Under == "hen" {
		under = "under a hen"
	}
	if p.Name != "" {
		under += " (" + p.Name + ")"
	}
	text := phrase{count(p.Eggs, "egg") + " set " + under}
	text.add(p.Breed != "", p.Breed)
	text.add(!p.Group.IsZero(), "of "+n.group(p.Group))
	text.add(p.Bought, "bought")
	return line("setting", map[string]any{"eggs": p.Eggs, "under": p.Under, "name": p.Name, "breed": p.Breed}, text)
}

func (p Candling) describe(Names) Sentence {
	text := phrase{"Candled"}
	if p.Weighed > 0 && p.Clear+p.Dead+p.Broken == 0 {
		text = phrase{count(p.Weighed, "egg") + " weighed"}
	}
	text.add(p.Clear+p.Dead+p.Broken+p.Weighed == 0, "nothing taken out")
	text.add(p.Clear > 0, number(p.Clear)+" clear")
	text.add(p.Dead > 0, number(p.Dead)+" dead")
	text.add(p.Broken > 0, number(p.Broken)+" broken")
	text.add(p.Weighed > 0, number(int(p.WeightG+0.5))+" g together")
	return line("candling", map[string]any{"clear": p.Clear, "dead": p.Dead, "broken": p.Broken}, text)
}

func (p Hatch) describe(n Names) Sentence {
	text := phrase{count(p.Chicks, "chick") + " hatched"}
	text.add(p.Culled > 0, number(p.Culled)+" of them culled")
	text.add(p.Clear > 0, number(p.Clear)+" clear")
	text.add(p.DeadInShell > 0, number(p.DeadInShell)+" dead in the shell")
	text.add(p.PippedDead > 0, number(p.PippedDead)+" pipped and died")
	text.add(p.BloodRing+p.MidDead > 0, number(p.BloodRing+p.MidDead)+" dead before")
	text.add(!p.Group.IsZero(), "to "+n.group(p.Group))
	return line("hatch", map[string]any{"chicks": p.Chicks, "culled": p.Culled, "clear": p.Clear, "dead_in_shell": p.DeadInShell, "pipped_dead": p.PippedDead}, text)
}

func (p Weighing) describe(n Names) Sentence {
	who := n.who(p.Bird, p.Group, "")
	g, birds := p.Mean()
	if birds == 1 {
		return say("weighing", map[string]any{"who": who, "mean_g": g, "birds": birds}, "Weighed %s: %s g.", who, measure.Round(g, 0))
	}
	return say("weighing", map[string]any{"who": who, "mean_g": g, "birds": birds}, "Weighed %d of %s: mean %s g.", birds, who, measure.Round(g, 0))
}

func (p Broody) describe(n Names) Sentence {
	who, birds := n.who(p.Bird, p.Group, ""), max(1, p.Number)
	args := map[string]any{"who": who, "number": birds, "phase": p.Phase, "ended": p.Ended}
	if p.Bird.IsZero() {
		who = count(birds, "hen") + " of " + who
	}
	if p.Phase == Begins {
		return say("broody-begins", args, "Broody: %s.", who)
	}
	text := "No longer broody: " + who
	if p.Ended != "" {
		text += " (" + p.Ended + ")"
	}
	return say("broody-ends", args, "%s.", text)
}

func (p Moult) describe(n Names) Sentence {
	who := n.who(p.Bird, p.Group, "")
	args := map[string]any{"who": who, "number": p.Number, "phase": p.Phase}
	if p.Bird.IsZero() && p.Number > 0 {
		who = count(p.Number, "bird") + " of " + who
	}
	if p.Phase == Begins {
		return say("moult-begins", args, "Moult begins: %s.", who)
	}
	return say("moult-ends", args, "Moult over: %s.", who)
}

func (p Feed) describe(n Names) Sentence {
	what := p.What
	if p.What == FeedLeft {
		what = "left in bins and feeders"
	}
	text := phrase{measure.Round(p.Kg, 1) + " kg of " + p.Feed + " " + what}
	if who := n.who(ID{}, p.Group, p.Pen); who != "the flock" {
		text[0] += " for " + who
	}
	text.add(p.From != "", "from "+p.From)
	text.add(p.PaidMinor > 0, "for "+n.money(p.PaidMinor))
	return line("feed", map[string]any{"what": p.What, "feed": p.Feed, "kg": p.Kg, "paid_minor": p.PaidMinor}, text)
}

func (p Money) describe(n Names) Sentence {
	verb := "spent on"
	if p.Way == "in" {
		verb = "received for"
	}
	return say("money", map[string]any{"way": p.Way, "amount_minor": p.AmountMinor, "for": p.For}, "%s %s %s.", n.money(p.AmountMinor), verb, p.For)
}

func (p Treatment) describe(n Names) Sentence {
	who := n.who(p.Bird, p.Group, p.Pen)
	text := phrase{p.Product + " given to " + who}
	text.add(p.Against != "", "against "+p.Against)
	text.add(p.Dose != "", p.Dose)
	text.add(!p.LastDose.IsZero(), "last dose "+p.LastDose.Words())
	text.add(true, drugDays("eggs", p.EggDays))
	text.add(true, drugDays("meat", p.MeatDays))
	return line("treatment", map[string]any{"product": p.Product, "who": who, "egg_days": p.EggDays, "meat_days": p.MeatDays}, text)
}

func drugDays(what string, days *int) string {
	if days == nil {
		return what + " not to be eaten until the vet's days are known"
	}
	return what + " withheld " + count(*days, "day")
}

func (p Visitor) describe(Names) Sentence {
	text := phrase{"Visitor: " + p.Who}
	text.add(p.KeepsBirds, "keeps birds")
	text.add(p.Touched, "was among the birds")
	text.add(p.Pen != "", "pen "+p.Pen)
	return line("visitor", map[string]any{"who": p.Who, "keeps_birds": p.KeepsBirds, "touched": p.Touched}, text)
}

func (p Quarantine) describe(n Names) Sentence {
	who := n.group(p.Group)
	args := map[string]any{"who": who, "phase": p.Phase, "days": p.days(), "reason": p.Reason}
	if p.Phase == Begins {
		return say("quarantine-begins", args, "%s kept apart for %s.", who, count(p.days(), "day"))
	}
	return say("quarantine-ends", args, "%s no longer kept apart.", who)
}

func (p TaskDone) describe(Names) Sentence {
	text := phrase{"Done: " + p.Task}
	text.add(p.Minutes > 0, count(p.Minutes, "minute"))
	return line("task_done", map[string]any{"task": p.Task, "minutes": p.Minutes}, text)
}

func (p Note) describe(n Names) Sentence {
	text, _, _ := strings.Cut(strings.TrimSpace(p.Text), "\n")
	text = shorten(text)
	switch {
	case text == "":
		text = count(len(p.Photos), "photo")
	case len(p.Photos) > 0:
		text += " (" + count(len(p.Photos), "photo") + ")"
	}
	return say("note", map[string]any{"text": p.Text, "photos": len(p.Photos)}, "Note: %s", text)
}

func (p Strike) describe(Names) Sentence {
	if p.Reason == "" {
		return say("strike", nil, "Struck out.")
	}
	return say("strike", map[string]any{"reason": p.Reason}, "Struck out: %s.", p.Reason)
}

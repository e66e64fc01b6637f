// Reads calendar files with ical.js, which shares no code with the program, and
// prints what it understood. Input: a JSON list of files as text. Output: a JSON
// list of calendars. The instants of events come from the VTIMEZONE in the file
// alone: this reader has no other knowledge of time zones.
"use strict";
const ICAL = require("ical.js");
const input = JSON.parse(require("fs").readFileSync(0, "utf8"));

function instant(component, name) {
  const property = component.getFirstProperty(name);
  if (!property) return null;
  const time = property.getFirstValue().clone();
  const tzid = property.getParameter("tzid");
  if (tzid) {
    const zone = component.parent.getAllSubcomponents("vtimezone").find(z => z.getFirstPropertyValue("tzid") === tzid);
    if (!zone) throw new Error("no VTIMEZONE for " + tzid);
    time.zone = new ICAL.Timezone(zone);
  } else if (!time.isDate && time.zone !== ICAL.Timezone.utcTimezone) {
    throw new Error("a time without a zone");
  }
  return { text: property.getFirstValue().toString(), day: time.isDate, unix: time.toUnixTime(), tzid: tzid || "" };
}

// Every time that an event comes, at most a thousand.
function times(component) {
  const start = component.getFirstProperty("dtstart").getFirstValue().clone();
  const first = instant(component, "dtstart");
  if (!component.getFirstProperty("rrule")) return [first.unix];
  const tzid = component.getFirstProperty("dtstart").getParameter("tzid");
  const zone = component.parent.getAllSubcomponents("vtimezone").find(z => z.getFirstPropertyValue("tzid") === tzid);
  const all = [];
  for (const e = new ICAL.RecurExpansion({ component, dtstart: start }); all.length < 1000;) {
    const next = e.next();
    if (!next) break;
    if (zone) next.zone = new ICAL.Timezone(zone);
    all.push(next.toUnixTime());
  }
  return all;
}

function event(component) {
  const value = name => component.getFirstPropertyValue(name);
  const duration = value("duration");
  const counts = {};
  for (const p of component.getAllProperties()) counts[p.name] = (counts[p.name] || 0) + 1;
  return {
    uid: value("uid"), summary: value("summary"), description: value("description"), status: value("status"),
    transparent: value("transp") === "TRANSPARENT", sequence: value("sequence"),
    stamp: value("dtstamp").toUnixTime(), modified: value("last-modified").toUnixTime(),
    start: instant(component, "dtstart"), end: instant(component, "dtend"),
    times: times(component),
    seconds: duration ? duration.toSeconds() : 0,
    categories: component.getAllProperties("categories").flatMap(p => p.getValues()),
    alarms: component.getAllSubcomponents("valarm").map(a => ({
      action: a.getFirstPropertyValue("action"), seconds: a.getFirstPropertyValue("trigger").toSeconds(), words: a.getFirstPropertyValue("description"),
    })),
    counts,
  };
}

process.stdout.write(JSON.stringify(input.map(text => {
  const all = ICAL.parse(text);
  const calendar = new ICAL.Component(all);
  if (calendar.name !== "vcalendar") throw new Error("not one calendar");
  const value = name => calendar.getFirstPropertyValue(name);
  return {
    version: value("version"), product: value("prodid"), method: value("method"), name: value("name"), oldName: value("x-wr-calname"),
    again: value("refresh-interval").toSeconds(), properties: calendar.getAllProperties().length,
    zones: calendar.getAllSubcomponents("vtimezone").length,
    others: calendar.getAllSubcomponents().map(c => c.name).filter(n => n !== "vevent" && n !== "vtimezone"),
    events: calendar.getAllSubcomponents("vevent").map(event),
  };
})));

// Package weather reads the weather files that a keeper can get for nothing and
// turns them into what the rest of the program knows of a place.
//
// A station a few miles off describes a holding better than a town of the
// catalogue: it knows the frost hollow, the milder winters of the last thirty
// years, and what monthly means cannot tell at all: how far one week strays from
// the usual, how long a cold spell holds, and how cold the worst night of ten
// years is.
//
// Read takes the open file and finds out by itself what it is (see Kind): the
// daily files of the Global Historical Climatology Network, by station or in
// fixed columns; the monthly normals of the United States; EPW, the hourly typical
// years made for building engineers; and tables of days, hours or months whose
// columns it knows by name (data/columns.csv). The Record that comes back holds one
// Day a date, in metric units, without doubtful values, and Notes that say in
// sentences what was left out and why. From it follow
//
//	Summary   years and completeness, normals, extremes, frost, heat, zone, class
//	Spread    how weeks and days stray, and how long they stay so
//	Place     the monthly normals as the planner takes them
//	Compare   the nearest places of the catalogue, month by month
//
// Nothing is guessed silently and nothing is filled: a month counts with twenty
// days, a week with five, a year with nine in ten; what is missing beyond that is
// missing in the answer. A file that cannot be read whole is refused whole, with a
// sentence that says what to do. Everything is pure reckoning: the file comes as an
// io.Reader, today's date is passed in.
package weather

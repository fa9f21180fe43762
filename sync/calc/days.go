package calc

import "strings"

// day reads an option that is a day, as 2027-03-27: such texts compare as days.
func (s *sheet) day(name, what string) (string, bool) {
	t := s.in.Opts[name]
	if t == "" {
		s.missing(what)
		return "", false
	}
	if _, ok := dayNumber(t); !ok {
		s.missing(what + ": '" + t + "' is not a day; write it as 2027-03-27")
		return "", false
	}
	return t, true
}

// moment reads an option that is a day, or a day and a time: 2027-04-03T15:20.
func (s *sheet) moment(name, what string) (string, bool) {
	t := s.in.Opts[name]
	if len(t) > 10 && strings.ContainsRune("T ", rune(t[10])) {
		if _, ok := dayNumber(t[:10]); ok {
			return t, true
		}
	}
	return s.day(name, what)
}

// dayNumber counts the days of the calendar; false for what is no day.
func dayNumber(t string) (int, bool) {
	if len(t) != 10 || t[4] != '-' || t[7] != '-' || strings.Trim(t[:4]+t[5:7]+t[8:], "0123456789") != "" {
		return 0, false
	}
	y, m, d := whole(t[:4]), whole(t[5:7]), whole(t[8:])
	if y < 1 || m < 1 || m > 12 || d < 1 || d > monthDays(y, m) {
		return 0, false
	}
	n := 365*(y-1) + (y-1)/4 - (y-1)/100 + (y-1)/400
	for i := 1; i < m; i++ {
		n += monthDays(y, i)
	}
	return n + d, true
}

func monthDays(y, m int) int {
	switch {
	case m == 2 && y%4 == 0 && (y%100 != 0 || y%400 == 0):
		return 29
	case m == 2:
		return 28
	case m == 4 || m == 6 || m == 9 || m == 11:
		return 30
	}
	return 31
}

func whole(digits string) int {
	n := 0
	for i := range len(digits) {
		n = n*10 + int(digits[i]-'0')
	}
	return n
}

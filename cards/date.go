package cards

// Date is a calendar day written 2027-03-31; "" is no date.
type Date string

// Valid reports whether d is empty or a day of the Gregorian calendar.
func (d Date) Valid() bool {
	if d == "" {
		return true
	}
	if len(d) != 10 || d[4] != '-' || d[7] != '-' || !onlyDigits(string(d[:4]+d[5:7]+d[8:])) {
		return false
	}
	year, month, day := digits(string(d[:4])), digits(string(d[5:7])), digits(string(d[8:]))
	if year < 1900 || month < 1 || month > 12 || day < 1 {
		return false
	}
	length := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		length = 29
	}
	return day <= length
}

func digits(s string) int {
	n := 0
	for i := 0; i < len(s); i++ {
		n = n*10 + int(s[i]-'0')
	}
	return n
}

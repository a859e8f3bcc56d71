package gs1

import (
	"errors"
	"fmt"
	"strings"
)

// The refusals.
var (
	ErrDigits  = errors.New("must be digits only")
	ErrLength  = errors.New("has the wrong number of characters")
	ErrCheck   = errors.New("its last digit does not check")
	ErrLetters = errors.New("holds a character that GS1 codes may not hold")
	ErrDate    = errors.New("is no date written YYMMDD")
	ErrElement = errors.New("is no element string")
)

// CheckDigit is the digit that completes a GS1 number: weights 3 and 1 in turn
// from the right, and what lacks to the next ten.
func CheckDigit(digits string) (byte, error) {
	if !allDigits(digits) {
		return 0, ErrDigits
	}
	sum := 0
	for i := range len(digits) {
		weight := 1
		if (len(digits)-i)%2 == 1 {
			weight = 3
		}
		sum += weight * int(digits[i]-'0')
	}
	return byte('0' + (10-sum%10)%10), nil
}

// CheckNumber says what is wrong with a number whose last digit is its check
// digit; nil is nothing.
func CheckNumber(number string) error {
	switch {
	case len(number) < 2:
		return ErrLength
	case !allDigits(number):
		return ErrDigits
	}
	last := len(number) - 1
	if want, _ := CheckDigit(number[:last]); want != number[last] {
		return fmt.Errorf("%w: %c should be %c", ErrCheck, number[last], want)
	}
	return nil
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// letters82 are the characters that lots and serials may be written in.
const letters82 = `!"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz`

// CheckLot says what is wrong with a lot code for a label: 1 to 20 characters,
// none of them a space.
func CheckLot(lot string) error {
	if lot == "" || len(lot) > 20 {
		return fmt.Errorf("%w: 1 to 20", ErrLength)
	}
	return checkLetters(lot)
}

func checkLetters(s string) error {
	for _, r := range s {
		if !strings.ContainsRune(letters82, r) {
			return fmt.Errorf("%w: %q", ErrLetters, r)
		}
	}
	return nil
}

// CheckDate says what is wrong with a date as labels hold it: YYMMDD, or YYMM00
// for a month. Of the century a label says nothing; years are taken as 20YY,
// whose leap years are the same.
func CheckDate(date string) error {
	if len(date) != 6 || !allDigits(date) {
		return ErrDate
	}
	two := func(at int) int { return int(date[at]-'0')*10 + int(date[at+1]-'0') }
	year, month, day := two(0), two(2), two(4)
	if month < 1 || month > 12 {
		return ErrDate
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 {
		days = 29
	}
	if day > days {
		return ErrDate
	}
	return nil
}

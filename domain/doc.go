// Package domain holds the words of the trade and their rules: days, heads,
// cases and rafts; varieties, products, customers, carriers and the calendar;
// orders, counts and lots. It knows no database, no clock and no face.
package domain

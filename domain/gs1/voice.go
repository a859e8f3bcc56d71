package gs1

import "fmt"

// VoicePick is the produce trade's voice pick code of a case: four digits that a
// picker reads aloud, the first two printed small and the last two large. They
// are the ANSI CRC-16 of GTIN, lot and, where the label's symbol holds one, the
// date YYMMDD, modulo 10,000. The text is hashed as it stands, so that what a
// label of another house says is found again even where its GTIN does not check.
func VoicePick(gtin, lot, date string) (string, error) {
	switch {
	case len(gtin) != 14:
		return "", fmt.Errorf("GTIN %w: 14", ErrLength)
	case !allDigits(gtin):
		return "", fmt.Errorf("GTIN %w", ErrDigits)
	case lot == "":
		return "", fmt.Errorf("lot %w: 1 to 20", ErrLength)
	case date != "" && (len(date) != 6 || !allDigits(date)):
		return "", ErrDate
	}
	return fmt.Sprintf("%04d", crc16(gtin+lot+date)%10000), nil
}

// crc16 is the ANSI CRC-16, x^16+x^15+x^2+1, least bit first, beginning at zero.
func crc16(text string) uint16 {
	const polynomial = 0xA001 // x^16+x^15+x^2+1 with its bits turned round
	crc := uint16(0)
	for i := range len(text) {
		crc ^= uint16(text[i])
		for range 8 {
			low := crc & 1
			crc >>= 1
			if low == 1 {
				crc ^= polynomial
			}
		}
	}
	return crc
}

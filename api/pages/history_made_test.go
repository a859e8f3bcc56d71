package pages

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/words"
)

func TestNewRecordIsToldInTheWordsOfTheTrade(t *testing.T) {
	documents := map[string]string{
		"order":          `{"customer":"INN","pickup":"2027-04-17","mode":"replace","purchase_order":"TL 89","lines":[{"product":"BLEND","cases":1}]}`,
		"standing order": `{"customer":"INN","product":"BLEND","terms":[{"from":"2027-03-16","weekdays":["wed","sat"],"every_weeks":2,"cases":4}]}`,
		"carrier":        `{"name":"Truck","pickups":["mon","thu"],"hour":"05:30","cutoff_days":1,"cutoff_hour":"12:00"}`,
		"sheet":          `{"name":"orders.csv","kind":"orders","rows":4,"parked":1,"orders":["O2.1","O2.2"]}`,
		"count":          `{"day":"2027-04-13","whole":true,"beds":[{"bed":"1","variety":"OAK"}],"loose":[{"variety":"OAK","heads":12,"pulled":"2027-04-12"}]}`,
		"decision":       `{"line":"O1/BLEND/T/2027-04-17","promised":5,"at_most":1,"moved_to":"2027-04-19","agreed":true}`,
		"lift":           `{"day":"2027-04-13","rows":[{"lot":"1/OAK/C1","variety":"OAK","heads":48}]}`,
		"packing":        `{"day":"2027-04-13","runs":[{"product":"BLEND","cases":6}]}`,
		"issue":          `{"day":"2027-04-13","number":2}`,
	}
	for language, want := range map[string]map[string][]string{
		"en": {
			"order":          {"1 case of Coast blend", "instead of the standing order", "their order number TL 89"},
			"standing order": {"4 cases of Coast blend", "Wednesday and Saturday", "every 2 weeks", "from Tue 16 Mar"},
			"carrier":        {"comes Monday and Thursday at 05:30", "orders close 1 day before, at 12:00"},
			"sheet":          {"4 rows read", "2 orders made or changed", "1 row waits for an answer"},
			"count":          {"1 row of beds counted", "the whole house", "12 loose heads of Oakleaf in the cooler"},
			"decision":       {"5 cases promised", "at most 1 case sent", "moved to Mon 19 Apr", "the customer takes the other variety"},
			"lift":           {"48 heads of Oakleaf lifted"},
			"packing":        {"6 cases of Coast blend packed"},
			"issue":          {"number 2 of this day's papers"},
		},
		"es": {
			"order":          {"1 caja de Coast blend", "en lugar del pedido fijo", "su orden de compra TL 89"},
			"standing order": {"4 cajas de Coast blend", "miércoles y sábado", "cada 2 semanas", "desde el mar 16 mar"},
			"carrier":        {"viene lunes y jueves a las 05:30", "los pedidos cierran 1 día antes, a las 12:00"},
			"sheet":          {"4 filas leídas", "2 pedidos creados o cambiados", "1 fila espera respuesta"},
			"count":          {"1 fila de camas contada", "todo el invernadero", "12 cabezas sueltas de Oakleaf en la cámara fría"},
			"decision":       {"5 cajas prometidas", "1 caja como máximo", "pasado al lun 19 abr", "el cliente acepta la otra variedad"},
			"lift":           {"48 cabezas de Oakleaf cosechadas"},
			"packing":        {"6 cajas de Coast blend empacadas"},
			"issue":          {"número 2 de los papeles de este día"},
		},
	} {
		names := words.Names{Products: map[string]string{"BLEND": "Coast blend"}, Varieties: map[string]string{"OAK": "Oakleaf"}}
		told := teller{&visit{speech: words.In(language)}, names, nil}
		for kind, document := range documents {
			require.Equal(t, want[kind], told.made(kind, document), "%s in %s", kind, language)
		}
	}
}

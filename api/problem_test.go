package api_test

// smallProblem is a planning problem with a case too many.
const smallProblem = `{"as_of":"2027-03-01","lead_days":1,"pickup_days":["2027-03-03","2027-03-05"],"cooler":{"case_spaces":20,"tray_spaces":20},
"varieties":[{"code":"A","name":"Green butterhead","shelf_days":12,"heads_per_tray":24}],
"products":[{"code":"B12","name":"Butterhead 12","slots":[{"heads":12,"accept":["A"]}]}],
"lots":[{"code":"L1","variety":"A","place":"bed","heads":70,"cautious_heads":60,"rafts":2,"ready":"2027-03-01","last":"2027-03-08"}],
"lines":[{"id":"1","customer":"MILL","product":"B12","pickup":"2027-03-03","cases":4,"received":"2027-02-28T10:00:00Z"},
{"id":"2","customer":"QUAY","product":"B12","pickup":"2027-03-05","cases":2,"received":"2027-02-28T11:00:00+01:00","promised":1}]}`

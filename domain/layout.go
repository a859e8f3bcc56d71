package domain

// Layout is how a sender writes order sheets. It is chosen by itself when a
// sheet has all the headings it names.
type Layout struct {
	Code            string            `json:"code" validate:"omitempty,code"`
	Name            string            `json:"name" validate:"required,max=80,line"`                                          // of the sender
	Columns         map[string]string `json:"columns,omitempty" validate:"max=20,dive,keys,max=40,endkeys,required,max=200"` // our column -> the sender's heading
	Sheet           string            `json:"sheet,omitempty" validate:"max=80,line"`                                        // the sheet of a workbook that is read
	DayOrder        string            `json:"day_order,omitempty" validate:"omitempty,oneof=dmy mdy ymd"`                    // of dates that could mean two days
	DaysAfterPickup *int              `json:"days_after_pickup,omitempty" validate:"omitempty,min=0,max=30"`                 // the stated day is the arrival
	Unit            string            `json:"unit,omitempty" validate:"omitempty,oneof=cases heads dozens"`                  // of an unnamed quantity
	Mode            OrderMode         `json:"mode,omitempty" validate:"omitempty,oneof=add replace"`                         // beside the standing orders, or instead
	Customer        string            `json:"customer,omitempty" validate:"max=200,line"`                                    // who orders, where no column says so
	Customers       map[string]string `json:"customers,omitempty" validate:"max=5000"`                                       // as the sender writes them -> ours
	Products        map[string]string `json:"products,omitempty" validate:"max=5000"`                                        // as the sender writes them -> ours
}

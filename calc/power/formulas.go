package power

import "github.com/guardwright/guardwright/model"

// HoldUpTime is how long a charged capacitance c feeds a load of constant power p while its voltage falls:
//
//	t = C·(from² - to²) / (2·P)
//
// It is zero when to is not below from, and when p is not positive, because there is then no time to be told.
func HoldUpTime(c model.Capacitance, from, to model.Voltage, p model.Power) model.Duration {
	if !(p > 0) || !(from > to) {
		return 0
	}
	return model.Duration(float64(c) * float64(from*from-to*to) / (2 * float64(p)))
}

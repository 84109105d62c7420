package distance

import "github.com/guardwright/guardwright/model"

// walkingSpeed is K of ISO 13855:2010 for the approach of the whole body (read in the scope of a national adoption).
func walkingSpeed() model.Speed { return model.MillimetresPerSecond(1600) }

// handSpeed is K of ISO 13855:2010 for the approach of the upper limbs (read in the same place).
func handSpeed() model.Speed { return model.MillimetresPerSecond(2000) }

// pressHandSpeed is the hand speed constant of 29 CFR 1910.217, 63 inches a second (read in an interpretation of
// 20 March 1991): 1600.2 mm/s.
func pressHandSpeed() model.Speed { return model.MillimetresPerSecond(63 * 25.4) }

// mm is a length of n millimetre.
func mm(n float64) model.Length { return model.Millimetres(n) }

// hands is the law of two steps for the approach of the upper limbs: 2000 mm/s up to 500 mm, 1600 mm/s beyond.
func hands(supplement model.Length, source string) Law {
	return Law{Speed: walkingSpeed(), Near: handSpeed(), Change: mm(500), Supplement: supplement, Source: source}
}

// body is the law of one step for the approach of the whole body.
func body(supplement model.Length, source string) Law {
	return Law{Speed: walkingSpeed(), Supplement: supplement, Source: source}
}

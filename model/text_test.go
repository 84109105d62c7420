package model_test

import (
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
)

// TestIngressCodeCovers checks IEC 60529:1989+A2:2013, clause 6 (from memory): codes for immersion and for jets do not
// include each other.
func TestIngressCodeCovers(t *testing.T) {
	for _, test := range []struct {
		have, want model.IngressCode
		covers     bool
		reason     string
	}{
		{"IP67", "IP67", true, "the same"},
		{"IP65", "IP54", true, "less of both is included"},
		{"IP54", "IP65", false, "more of both is not"},
		{"IP67", "IP65", false, "immersion does not include jets"},
		{"IP67", "IP64", true, "but it includes splashing"},
		{"IP65/IP67", "IP65", true, "a part that bears both stands both"},
		{"IP65/IP67", "IP65/IP67", true, "all that is asked for"},
		{"IP67", "IP65/IP67", false, "one of two"},
		{"IP68", "IP67", true, "longer immersion includes brief immersion"},
		{"IP67", "IP68", false, "not the other way round"},
		{"IP69", "IP67", false, "high-pressure jets do not include immersion"},
		{"IP67/IP69", "IP67", true, "both are borne"},
		{"IP67", "IP69", false, "immersion does not include high-pressure jets"},
		{"IP57", "IP67", false, "dust"},
		{"", "IP54", false, "nothing is known"},
		{"IP54", "", true, "nothing is asked for"},
	} {
		assert.Equal(t, test.covers, test.have.Covers(test.want), "%s covers %s: %s", test.have, test.want, test.reason)
	}
}

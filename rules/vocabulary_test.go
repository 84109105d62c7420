package rules_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/guardwright/guardwright/rules"
)

func TestVocabularyMarkdown(t *testing.T) {
	golden(t, "vocabulary.md", rules.Vocabulary().Markdown())
}

// TestVocabularyIsDocumented: a field without a text, or with one that is no sentence, is of no use to a reader.
func TestVocabularyIsDocumented(t *testing.T) {
	for _, k := range rules.Vocabulary().Kinds {
		assert.Regexp(t, `\.$`, k.About, k.Name)
		names := map[string]bool{}
		for _, f := range k.Fields {
			assert.Regexp(t, `^[a-z][a-z0-9_]*$`, f.Name, k.Name)
			assert.Regexp(t, `\.$`, f.About, "%s.%s", k.Name, f.Name)
			assert.False(t, names[f.Name], "%s.%s occurs twice", k.Name, f.Name)
			names[f.Name] = true
		}
	}
}

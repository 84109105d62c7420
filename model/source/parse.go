package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"gopkg.in/yaml.v3"
)

// Parse parses the content of a file. Its name appears in every position.
//
// The problems are those that do not depend on what the file is decoded into.
// The file is nil if nothing of it can be read: it is empty, too large, not
// UTF-8, not YAML, or nested too deeply. Otherwise it can be decoded, even if
// there are problems (duplicate keys, a second document, tags): go on with
// [File.Decode] and show both together. The file keeps data, which must not be
// changed any more.
func Parse(name string, data []byte, limits Limits) (*File, Problems) {
	limits = limits.withDefaults()
	out := newCollector(name, limits)
	file := parse(name, data, limits, &out)
	return file, out.problems()
}

func parse(name string, data []byte, limits Limits, out *collector) *File {
	if int64(len(data)) > limits.Size {
		out.add(fileProblem(name, tooLarge(int64(len(data)), limits)))
		return nil
	}
	text, ok := newText(data, limits, out)
	if !ok {
		return nil
	}
	document := readDocuments(text, out)
	if document == nil {
		return nil
	}
	b := builder{
		file:    &File{name: name, text: text, limits: limits, index: map[int32]map[string]int32{}},
		out:     out,
		anchors: map[*yaml.Node]*anchor{},
	}
	if !b.build(document) {
		return nil
	}
	return b.file
}

// readDocuments returns the top value of the first document, and reports what
// else there is.
func readDocuments(t *text, out *collector) *yaml.Node {
	decoder := newDocumentReader(t.data)
	document, err := decoder.next()
	switch {
	case err == io.EOF:
		out.add(fileProblem(out.file, emptyFile))
		return nil
	case err != nil:
		out.add(t.syntaxProblem(out.file, err, decoder.delivered()))
		return nil
	case len(document.Content) == 0 || isNull(document.Content[0]):
		out.add(fileProblem(out.file, emptyFile))
		return nil
	}
	switch second, err := decoder.next(); {
	case err == io.EOF:
	case err != nil:
		out.add(t.syntaxProblem(out.file, err, decoder.delivered()))
	default:
		out.add(Problem{Position: Position{out.file, second.Line - 1, second.Column},
			Text: "a second document starts here: put it into a file of its own"})
	}
	return document.Content[0]
}

// documentReader reads one document after the other.
//
// It gives the library an empty line before the file: the library takes line 0
// for "not known" when it reports an error. All its lines are one too high for
// that, see syntaxProblem and builder.node.
type documentReader struct {
	input   countingReader
	decoder *yaml.Decoder
}

func newDocumentReader(data []byte) *documentReader {
	r := &documentReader{}
	r.input.Reader = io.MultiReader(bytes.NewReader([]byte{'\n'}), bytes.NewReader(data))
	r.decoder = yaml.NewDecoder(&r.input)
	return r
}

// next returns io.EOF behind the last document. A panic of the library becomes
// an error: it is not trusted to survive every input.
func (r *documentReader) next() (document *yaml.Node, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			document, err = nil, fmt.Errorf("%w: %v", errNotParsed, cause)
		}
	}()
	document = &yaml.Node{}
	if err := r.decoder.Decode(document); err != nil {
		return nil, err
	}
	return document, nil
}

var errNotParsed = errors.New("the file can't be parsed")

// delivered returns how many bytes of the file the library has read so far,
// which is little more than it has parsed.
func (r *documentReader) delivered() int { return max(0, r.input.count-1) }

type countingReader struct {
	io.Reader
	count int
}

func (r *countingReader) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	r.count += n
	return n, err
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null" && scalarStyle(n.Style) == plain
}

package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
)

// Load reads, parses and decodes a file in one call: [ReadFile], [Parse] and
// [File.Decode]. The file is nil if nothing of it can be read. The problems
// are all that were found, sorted.
func Load(fsys fs.FS, name string, into any, limits Limits) (*File, Problems) {
	data, err := ReadFile(fsys, name, limits)
	if err != nil {
		var problem Problem
		if !errors.As(err, &problem) {
			problem = fileProblem(name, err.Error())
		}
		return nil, Problems{problem}
	}
	file, problems := Parse(name, data, limits)
	if file == nil {
		return nil, problems
	}
	return file, append(problems, file.Decode(into)...).Sorted()
}

// readError is a problem of a whole file and the error that caused it, so that
// both errors.As to a [Problem] and errors.Is to fs.ErrNotExist work.
type readError struct {
	problem Problem
	cause   error
}

func (e readError) Error() string   { return e.problem.Error() }
func (e readError) Unwrap() []error { return []error{e.problem, e.cause} }

func fileProblem(name, text string) Problem {
	return Problem{Position: Position{File: name}, Text: text}
}

// ReadFile reads a file that is not trusted. Its name is one of fsys: with
// slashes, without .. and without a slash in front. The error holds a
// [Problem] (for errors.As) that says what is wrong with the file: it is
// missing (with the nearest name in that folder), a folder, no regular file,
// too large, or empty.
func ReadFile(fsys fs.FS, name string, limits Limits) ([]byte, error) {
	limits = limits.withDefaults()
	if !fs.ValidPath(name) {
		return nil, fileProblem(name, "this is no name of a file inside the folder: write it with slashes, without .. and without a slash in front")
	}
	// Stat comes before Open: opening a pipe would wait for its other end.
	info, err := fs.Stat(fsys, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, readError{fileProblem(name, missingFile(fsys, name)), err}
	case err != nil:
		return nil, readError{fileProblem(name, "the file can't be read: "+plainCause(err)), err}
	case info.IsDir():
		return nil, fileProblem(name, "this is a folder: name a file in it")
	case !info.Mode().IsRegular():
		return nil, fileProblem(name, "this is not a regular file but a device, a pipe or the like")
	case info.Size() > limits.Size:
		return nil, fileProblem(name, tooLarge(info.Size(), limits))
	}
	return readBounded(fsys, name, info.Size(), limits)
}

// readBounded reads up to the limit even if the file grew since its size was
// asked for.
func readBounded(fsys fs.FS, name string, size int64, limits Limits) ([]byte, error) {
	file, err := fsys.Open(name)
	if err != nil {
		return nil, readError{fileProblem(name, "the file can't be opened: "+plainCause(err)), err}
	}
	defer file.Close()
	var data bytes.Buffer
	data.Grow(int(size) + bytes.MinRead)
	_, err = data.ReadFrom(io.LimitReader(file, limits.Size+1))
	switch {
	case err != nil:
		return nil, readError{fileProblem(name, "the file can't be read: "+plainCause(err)), err}
	case int64(data.Len()) > limits.Size:
		return nil, fileProblem(name, tooLarge(int64(data.Len()), limits))
	case data.Len() == 0:
		return nil, fileProblem(name, emptyFile)
	}
	return data.Bytes(), nil
}

const emptyFile = "the file is empty: wanted a mapping (key: value)"

func tooLarge(size int64, limits Limits) string {
	return fmt.Sprintf("the file has %d bytes or more, and %d are allowed: split it, or raise the limit", size, limits.Size)
}

// plainCause leaves the operation and the path out of an error's text: the
// problem names the file already.
func plainCause(err error) string {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err.Error()
	}
	return err.Error()
}

func missingFile(fsys fs.FS, name string) string {
	folder := path.Dir(name)
	entries, err := fs.ReadDir(fsys, folder)
	if err != nil {
		return fmt.Sprintf("there is no such file, and the folder %s can't be read either", folder)
	}
	var names []string
	for _, entry := range entries {
		if !entry.IsDir() {
			names = append(names, entry.Name())
		}
	}
	if near, ok := Nearest(path.Base(name), names); ok {
		return fmt.Sprintf("there is no such file: did you mean %s?", path.Join(folder, near))
	}
	return "there is no such file"
}

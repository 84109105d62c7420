package model

import "reflect"

// clone copies a description so deeply that no map, list or pointer is shared with the original.
func clone[T any](v T) T {
	out := reflect.New(reflect.TypeFor[T]()).Elem()
	cloneInto(out, reflect.ValueOf(v))
	return out.Interface().(T)
}

func cloneInto(dst, src reflect.Value) {
	dst.Set(src) // unexported fields (addresses, positions) are values and come along here
	switch src.Kind() {
	case reflect.Struct:
		for i := range src.NumField() {
			if src.Type().Field(i).IsExported() {
				cloneInto(dst.Field(i), src.Field(i))
			}
		}
	case reflect.Pointer:
		if !src.IsNil() {
			dst.Set(reflect.New(src.Type().Elem()))
			cloneInto(dst.Elem(), src.Elem())
		}
	case reflect.Slice:
		if !src.IsNil() {
			dst.Set(reflect.MakeSlice(src.Type(), src.Len(), src.Len()))
			for i := range src.Len() {
				cloneInto(dst.Index(i), src.Index(i))
			}
		}
	case reflect.Map:
		if !src.IsNil() {
			dst.Set(reflect.MakeMapWithSize(src.Type(), src.Len()))
			for key, value := range src.Seq2() {
				item := reflect.New(src.Type().Elem()).Elem()
				cloneInto(item, value)
				dst.SetMapIndex(key, item)
			}
		}
	}
}

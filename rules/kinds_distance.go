package rules

import (
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
)

// distanceIndex finds the separation distances for the objects of the machine.
type distanceIndex struct {
	functions  map[*model.Function]*distance.Function
	approaches map[*model.Approach]*distance.Approach
	functionOf map[*model.Approach]*model.Function
}

func indexDistance(m *model.Machine, r *distance.Result) distanceIndex {
	x := distanceIndex{map[*model.Function]*distance.Function{}, map[*model.Approach]*distance.Approach{}, map[*model.Approach]*model.Function{}}
	for _, f := range m.Functions {
		for _, a := range f.Approaches {
			x.functionOf[a] = f
		}
	}
	if r == nil {
		return x
	}
	for _, f := range r.Functions {
		x.functions[f.Function] = f
		for _, a := range f.Approaches {
			x.approaches[a.Approach] = a
		}
	}
	return x
}

func knownDistanceTime(t distance.Time) knownTime { return knownTime{t.Known, t.Time, t.Why} }

// distanceResults are the fields that the separation distances add to the kinds of the description.
func distanceResults() map[string][]field {
	x := resultOf[*model.Function, distance.Function]{distanceCalculation, func(w *world, f *model.Function) *distance.Function { return w.distance.functions[f] }}
	return map[string][]field{
		"safety_function": {x.check("unlock", "duration", "Delay after which guard locks are released by time against the longest run-down, which it has to exceed.",
			func(r *distance.Function) any { return &r.Unlock })},
		"approach": approachResults(),
	}
}

func approachResults() []field {
	x := resultOf[*model.Approach, distance.Approach]{distanceCalculation, func(w *world, a *model.Approach) *distance.Approach { return w.distance.approaches[a] }}
	type r = *distance.Approach
	length := fieldType{quantity: reflect.TypeFor[model.Length]()}
	lengths := fieldType{quantity: reflect.TypeFor[model.Length](), list: true}
	list := func(name, about string, pick func(r) []model.Length) field {
		return x.field(name, about, lengths, func(w *world, o r) (ref.Val, string) {
			var out []ref.Val
			for _, l := range pick(o) {
				out = append(out, quantityValue(w, l))
			}
			return types.NewRefValList(types.DefaultTypeAdapter, out), ""
		})
	}
	beams := x.field("beams_right", "True when every separate beam stands at the height of the standard.", fieldType{basic: types.BoolType}, func(_ *world, o r) (ref.Val, string) {
		if o.Beams.Status.Decided() {
			return types.Bool(o.Beams.Status == distance.Within), ""
		}
		return nil, "is " + o.Beams.Status.String() + because(o.Beams.Why)
	})
	required := x.field("required", "Separation distance that is needed.", length, func(w *world, o r) (ref.Val, string) {
		if o.Governing == nil {
			return nil, "is not known" + because(o.Distance.Why)
		}
		return quantityValue(w, o.Required), ""
	})
	effective := x.field("detection_capability", "Resolution that the distance is computed with.", length, func(w *world, o r) (ref.Val, string) {
		if o.Resolution == 0 {
			return nil, "has no meaning here or is not stated"
		}
		return quantityValue(w, o.Resolution), ""
	})
	return []field{
		{name: "function", about: "The safety function.", typ: fieldType{kind: "safety_function"}, get: func(w *world, s any) ref.Val {
			return w.object("safety_function", w.distance.functionOf[s.(*model.Approach)])
		}},
		x.text("by_standard", "Standard, with its edition, by which the distance is computed; absent when none is stated.", func(o r) string { return string(o.Standard) }),
		x.time("overall", "Overall stopping time with one communication fault.", func(o r) knownTime { return knownDistanceTime(o.Times.Overall) }),
		x.time("reaction", "Part of it before the drive starts to stop.", func(o r) knownTime { return knownDistanceTime(o.Times.Reaction) }),
		effective,
		x.many("reaches", "hazard_reach", "Ways in which the hazard can be reached, each with its distance.", func(o r) []any { return anys(o.Reaches, same) }),
		x.one("governing", "hazard_reach", "The one with the largest distance.", func(o r) (any, string) { return o.Governing, "is not known" + because(o.Distance.Why) }),
		required,
		x.truth("complete", "True when all ways have a known law; otherwise the required distance is only a lower bound.", func(o r) bool { return o.Complete }),
		x.check("separation", "length", "Built distance against the required one, a lower limit.", func(o r) any { return &o.Distance }),
		x.time("longest", "Longest overall stopping time that the built distance allows.", func(o r) knownTime { return knownDistanceTime(o.Longest) }),
		x.check("overall_check", "duration", "Overall stopping time against the longest that the built distance allows.", func(o r) any { return &o.Overall }),
		x.time("left_for_drive", "What the longest time leaves for the stopping of the drive; negative when nothing is left.", func(o r) knownTime { return knownDistanceTime(o.LeftForDrive) }),
		x.check("field_resolution", "length", "Resolution against the largest that serves.", func(o r) any { return &o.FieldResolution }),
		x.check("field_height", "length", "Height of a parallel field, or of the furthest beam of an angled one, against the highest that is permitted.", func(o r) any { return &o.FieldHeight }),
		x.check("beneath", "length", "Height of the lower edge of the field against the height at which a person can crawl beneath.", func(o r) any { return &o.Beneath }),
		x.check("upper_edge_height", "length", "Height of the upper edge of an orthogonal field against the least, a lower limit.", func(o r) any { return &o.UpperEdge }),
		x.check("mat_width", "length", "Width of a pressure-sensitive mat against the least, a lower limit.", func(o r) any { return &o.MatWidth }),
		beams,
		x.text("beams_status", "How the heights of separate beams stand to the standard, in words.", func(o r) string { return o.Beams.Status.String() }),
		list("beams_wanted", "Heights of the standard for the number of beams.", func(o r) []model.Length { return o.Beams.Wanted }),
		x.check("locking", "duration", "Overall stopping time against the time in which a person reaches the hazard past the opened guard: beyond it the guard needs guard locking.", func(o r) any { return &o.Locking.Overall }),
		x.truth("locked", "True when the guard has guard locking.", func(o r) bool { return o.Locking.Locked }),
	}
}

// distanceResultKinds are the kinds of objects that only the distances have.
func distanceResultKinds() []*kind {
	type h = *distance.Reach
	distanceOf := result("distance", "Distance that the way needs.", fieldType{quantity: reflect.TypeFor[model.Length]()}, func(w *world, o h) (ref.Val, string) {
		if o.HasDistance {
			return quantityValue(w, o.Distance), ""
		}
		return nil, "is not known" + because(o.Why)
	})
	k := resultKind[h](distanceCalculation, "hazard_reach", "One way to the hazard with its distance.",
		named("way", "The way, in words.", func(o h) string { return o.Way.String() }),
		named("status", "within when its law is known, not applicable when it is closed by other means, not covered or unknown.", func(o h) string { return o.Status.String() }),
		distanceOf,
		statedAmount("approach_speed", "Approach speed K of the law, of its second step where there are two; absent without a law.", func(o h) model.Speed { return o.Law.Speed }),
		amount("supplement", "Supplement of the law.", func(o h) model.Length { return o.Law.Supplement }),
		text("source", "Standard and clause of the law.", func(o h) string { return o.Law.Source }),
		text("term", "What made the distance, in words.", func(o h) string {
			if o.HasDistance {
				return o.Term.String()
			}
			return ""
		}),
		text("derivation", "The distance with its numbers.", func(o h) string { return o.Derivation }),
		timeOf("longest", "Longest time that the built distance allows on this way.", func(o h) knownTime { return knownDistanceTime(o.Longest) }),
		text("why", "What is missing or not certain.", func(o h) string { return o.Why }),
	)
	return []*kind{shown(k, func(o h) string { return o.Way.String() })}
}

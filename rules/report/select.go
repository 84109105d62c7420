package report

import "slices"

// Only returns a copy of the report that holds the given parts and the summary. Places are kept with the checks that
// belong to one of the parts; with ChecksPart, or with the part of the place itself, they are kept whole.
func (r *Report) Only(parts ...Part) *Report {
	out := *r
	has := func(p Part) bool { return slices.Contains(parts, p) }
	if !has(FindingsPart) {
		out.Findings = keepAccepted(r.Findings, has(AcceptedPart))
	}
	if !has(UndecidedPart) {
		out.Unanswered = nil
	}
	if !has(AcceptedPart) {
		out.Acceptances = nil
	}
	if !has(NotComputedPart) {
		out.NotComputed = nil
	}
	if !has(ProofsPart) && !has(StoryPart) {
		out.Proofs, out.LogicProblems, out.Assumptions = nil, nil, nil
	}
	if !has(LogicPart) && !has(StoryPart) {
		out.Logic = nil
	}
	if !has(LogicFaultsPart) {
		out.LogicFaults = nil
	}
	if !has(RecordPart) {
		out.Record = nil
	}
	if !has(RulesPart) {
		out.Rules = nil
	}
	if !has(NetworksPart) {
		out.Networks = nil
	}
	if !has(SelectivityPart) {
		out.Selectivity = nil
	}
	if !has(AddressesPart) {
		out.Nodes, out.AddressProblems, out.Shape = nil, nil, ""
	}
	if !has(LinksPart) {
		out.Links = nil
	}
	if !has(SingleFaultsPart) {
		out.SingleFaults, out.DoubleFaults = nil, nil
	}
	if !has(ConnectionsPart) {
		out.Connections = nil
	}
	if !has(ReactionsPart) {
		out.Reactions, out.Stops = nil, nil
	}
	if !has(DistancesPart) {
		out.Distances = nil
	}
	if !has(LimitsPart) {
		out.Limits = nil
	}
	if !has(ChecksPart) {
		out.Places = keepPlaces(r.Places, has)
	}
	return &out
}

func keepAccepted(findings []Finding, keep bool) []Finding {
	if !keep {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(findings), func(f Finding) bool { return f.Accepted == nil })
}

// keepPlaces is nil when no part with places was asked for.
func keepPlaces(places []Place, has func(Part) bool) []Place {
	asked := slices.ContainsFunc([]Part{SuppliesPart, ProtectionsPart, FeedsPart, ModulesPart, PortsPart, LoadsPart, FaultsPart, InrushPart}, has)
	if !asked {
		return nil
	}
	out := []Place{}
	for _, p := range places {
		if has(p.Part) {
			out = append(out, p)
			continue
		}
		p.Checks = slices.DeleteFunc(slices.Clone(p.Checks), func(c Check) bool { return !has(c.Part) })
		if len(p.Checks) > 0 {
			out = append(out, p)
		}
	}
	return out
}

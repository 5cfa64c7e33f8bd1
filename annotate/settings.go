package annotate

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// checkStages refuses settings of a stage that no step list of the planned or the performed technique has. What stood
// there before is left, since a list may have been another one then.
func checkStages(ctx context.Context, tx Tx, c, before Case) error {
	if len(c.Operation.Settings) == 0 {
		return nil
	}
	lists, err := tx.StepLists(ctx)
	if err != nil {
		return err
	}
	known := stagesOf(lists, c.Operation.TechniquePlanned, c.Operation.TechniquePerformed)
	var p problems
	for i, s := range c.Operation.Settings {
		stood := slices.ContainsFunc(before.Operation.Settings, func(b StageSettings) bool { return b.Stage == s.Stage })
		if !stood && !slices.Contains(known, s.Stage) {
			p.add(fmt.Sprintf("operation.settings[%d].stage", i), "is not a stage of the technique; possible are %s", strings.Join(known, ", "))
		}
	}
	return p.err("The case")
}

// stagesOf gives the stages of all lists of the techniques, in the order of the operation; all stages when no list is
// of one of them.
func stagesOf(lists []StepList, techniques ...Technique) []string {
	var used []string
	for _, list := range lists {
		if slices.Contains(techniques, list.Technique) {
			for _, stage := range list.Stages {
				used = append(used, stage.Code)
			}
		}
	}
	if len(used) == 0 {
		return stagesKnown
	}
	return slices.DeleteFunc(slices.Clone(stagesKnown), func(code string) bool { return !slices.Contains(used, code) })
}

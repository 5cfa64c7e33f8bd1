package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestSettingsBelongToStagesOfTheTechnique(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.NewCase()
		c.Operation.Settings = []annotate.StageSettings{{Stage: "nucleus", Vacuum: pointerTo(400.0)}, {Stage: "sculpting", Vacuum: pointerTo(60.0)}}
		_, err := u.PutCase(t.Context(), u.Surgeon, c)
		field := refused(t, annotate.CodeInvalid, err).Fields[0]
		require.Equal(t, "operation.settings[1].stage", field.Field)
		require.Equal(t, "is not a stage of the technique; possible are opening, capsule, nucleus, cortex, lens, closing", field.Message)

		c.Operation.Settings = c.Operation.Settings[:1]
		c, err = u.PutCase(t.Context(), u.Surgeon, c)
		require.NoError(t, err)

		// A list of the unit for a technique that no shipped one is for has four stages.
		list, err := u.StepList(t.Context(), u.Admin, annotate.StepListRef{ID: "msics", Version: 1})
		require.NoError(t, err)
		list.ID, list.Name, list.Technique, list.Version = "own-ecce", "Own", annotate.TechniqueECCE, 0
		list.Stages = list.Stages[:4]
		var steps []annotate.Step
		for _, step := range list.Steps {
			for _, stage := range list.Stages {
				if step.Stage == stage.Code {
					steps = append(steps, step)
				}
			}
		}
		list.Steps = steps
		_, err = u.PutStepList(t.Context(), u.Admin, list)
		require.NoError(t, err)

		c.Operation.TechniquePlanned, c.Operation.TechniquePerformed = annotate.TechniqueECCE, annotate.TechniqueECCE
		c.Operation.Settings = append(c.Operation.Settings, annotate.StageSettings{Stage: "lens"})
		_, err = u.PutCase(t.Context(), u.Surgeon, c)
		field = refused(t, annotate.CodeInvalid, err).Fields[0]
		require.Equal(t, "operation.settings[1].stage", field.Field)
		require.NotContains(t, field.Message, "lens")
		c.Operation.TechniquePlanned, c.Operation.ConversionReason = annotate.TechniquePhaco, "Hard nucleus."
		_, err = u.PutCase(t.Context(), u.Surgeon, c)
		require.NoError(t, err, "the planned technique has the stage")
	})
}

package annotate

// When a visit is due and when it is overdue, in days after the operation. Common practice; local policy decides.
var followUpPlan = []struct {
	window    Window
	due, late int
}{
	{WindowDay1, 1, 7},
	{WindowMonth1, 28, 56},
}

// nextVisit gives the first planned visit that is still wanted, with the date from which it is due and the date after
// which it is overdue; "" when follow-up is complete. The month-1 visit counts only with an endothelial count if there
// was one before the operation.
func nextVisit(c Case, visits []Visit) (window Window, dueOn, lateOn string) {
	for _, plan := range followUpPlan {
		done := false
		for _, visit := range visits {
			counted := visit.Exam != nil || c.Before.Exam == nil || plan.window != WindowMonth1
			done = done || visit.Window == plan.window && counted
		}
		if !done {
			return plan.window, addDays(c.Date, plan.due), addDays(c.Date, plan.late)
		}
	}
	return "", "", ""
}

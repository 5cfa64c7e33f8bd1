package cohort

import "zonule/timeline"

// lossReason says why an item of a case gives no time.
type lossReason uint8

const (
	notLost lossReason = iota
	notRecorded
	lowerBound
	noStatistics
	noTime
	shared
	unknownOperator
	lossReasons // how many there are
)

func (r lossReason) String() string {
	return [...]string{
		"", "not marked, or not on the recording", "something is missing from the recording, so the time is only a lower bound",
		"the recording is edited without telling how", "no length", "more than one person operated it",
		"it is not known who operated it",
	}[r]
}

// timeOf tells whose time a part is, or why it is nobody's. Only measured times count. What one person did alone is that
// person's; what several did is left out, since neither time is that of the whole. Source: our definition.
func (c *Cohort) timeOf(at int32, place map[string]int32, part *Part) (operator int32, total int64, reason lossReason) {
	row := c.rows[at]
	quality, time, operator := part.Quality, part.Total, c.cases.alone[at]
	if len(part.ByOperator) > 0 {
		operators, only := 0, &part.ByOperator[0]
		for i := range part.ByOperator {
			if part.ByOperator[i].Episodes > 0 {
				operators, only = operators+1, &part.ByOperator[i]
			}
		}
		if operators > 1 {
			return nobody, 0, shared
		}
		operator = nobody
		if id := orLead(row, only.Operator); id != "" {
			operator = place[id]
		}
	} else if c.cases.several[at] && quality != timeline.NotRecorded {
		return nobody, 0, shared
	}
	switch {
	case quality == timeline.NotRecorded || time == nil:
		return nobody, 0, notRecorded
	case quality == timeline.LowerBound:
		return nobody, 0, lowerBound
	case quality != timeline.Measured:
		return nobody, 0, noStatistics
	case *time <= 0:
		return nobody, 0, noTime
	case operator == nobody:
		return nobody, 0, unknownOperator
	}
	return operator, *time, notLost
}

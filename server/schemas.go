package server

import (
	"encoding/json"
	"reflect"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/validation"
	"github.com/gin-gonic/gin"
)

// Set once for the process: names are compared exactly, a list is never null, and findings are in our words, as the end
// of a sentence that begins with the field.
func init() {
	huma.ValidateStrictCasing = true
	huma.DefaultArrayNullable = false
	validation.MsgUnexpectedProperty = "is not a field of this"
	validation.MsgExpectedBoolean = "must be true or false"
	validation.MsgExpectedNumber = "must be a number"
	validation.MsgExpectedInteger = "must be a whole number"
	validation.MsgExpectedString = "must be text"
	validation.MsgExpectedArray = "must be a list"
	validation.MsgExpectedObject = "must be an object"
	validation.MsgExpectedMatchAtLeastOneSchema = "has none of the forms that it may have"
	validation.MsgExpectedOneOf = "must be one of: %s"
	validation.MsgExpectedMinimumNumber = "must be at least %v"
	validation.MsgExpectedMaximumNumber = "must be at most %v"
	validation.MsgExpectedMaxLength = "may have at most %d characters"
	validation.MsgExpectedMinItems = "must hold at least %d"
	validation.MsgExpectedMaxItems = "may hold at most %d"
}

// schemaName keeps types of the same name in different packages apart: a step of a step list is not a step's figure.
func schemaName(t reflect.Type, hint string) string {
	name := huma.DefaultSchemaNamer(t, hint)
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	switch {
	case strings.HasSuffix(t.PkgPath(), "/timeline"):
		return "Timeline" + name
	case strings.HasSuffix(t.PkgPath(), "/timeline/cohort"):
		return "Cohort" + name
	case strings.HasSuffix(t.PkgPath(), "/timeline/outcome"):
		return "Outcome" + strings.TrimPrefix(name, "Outcome")
	case strings.HasSuffix(t.PkgPath(), "/server/report") && !strings.HasPrefix(name, "Report"):
		return "Report" + name
	}
	return name
}

// setByServer names the properties that a caller may leave out because the address or the server sets them.
var setByServer = map[string][]string{
	"Case":             {"id", "createdBy", "createdAt", "updatedAt", "change"},
	"User":             {"id", "mustChangePassword", "createdAt"},
	"StepList":         {"id", "version", "shipped", "createdAt"},
	"AssessmentForm":   {"id", "version", "shipped", "createdAt"},
	"Edit":             {"seq", "authorId", "madeAt"},
	"Marker":           {"seq"},
	"Event":            {"seq"},
	"Comment":          {"seq", "authorId", "madeAt"},
	"Acceptance":       {"seq", "authorId"},
	"Assessment":       {"id", "caseId", "assessorId", "madeAt", "updatedAt"},
	"Goal":             {"id", "traineeId", "authorId"},
	"Complication":     {"id", "caseId"},
	"MonitoringReview": {"id", "authorId", "madeAt"},
	"Study":            {"id", "ownerId", "madeAt", "updatedAt"},
	"Visit":            {"id", "caseId"},
}

// orNull names the lists that may be null, which says something else than an empty one.
var orNull = map[string][]string{
	"OutcomeDefinition": {"adjust"}, // null: the usual factors; empty: none
}

// finishSchemas adds what the library cannot read off the types.
func finishSchemas(registry huma.Registry) {
	for name, properties := range setByServer {
		for _, property := range properties {
			registry.Map()[name].Properties[property].ReadOnly = true
		}
	}
	for name, properties := range orNull {
		for _, property := range properties {
			registry.Map()[name].Properties[property].Nullable = true
		}
	}
	for name, schema := range registry.Map() {
		allowNull(schema, registry.TypeFromRef("#/components/schemas/"+name))
	}
}

// allowNull lets a pointer to a struct be null where its field is always written; the library knows this only for
// pointers to plain values.
func allowNull(schema *huma.Schema, t reflect.Type) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return
	}
	for _, field := range reflect.VisibleFields(t) {
		name, settings, _ := strings.Cut(field.Tag.Get("json"), ",")
		property, described := schema.Properties[name]
		pointer := field.Type.Kind() == reflect.Pointer && field.Type.Elem().Kind() == reflect.Struct
		if !described || !pointer || strings.Contains(settings, "omitempty") || property.Ref == "" {
			continue
		}
		// The enumeration is for the library's validator, which takes type "null" for anything.
		null := &huma.Schema{Type: "null", Enum: []any{nil}}
		null.PrecomputeMessages()
		schema.Properties[name] = &huma.Schema{
			AnyOf: []*huma.Schema{{Ref: property.Ref}, null}, Description: property.Description, ReadOnly: property.ReadOnly,
		}
	}
}

// description gives the OpenAPI document of this interface.
func (s *Server) description(c *gin.Context) {
	c.Header("Content-Type", "application/openapi+json")
	if err := json.NewEncoder(c.Writer).Encode(s.api.OpenAPI()); err != nil {
		exchangeOf(c.Request.Context()).cause = err
	}
}

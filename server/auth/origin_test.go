package auth

import (
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestOrigins(t *testing.T) {
	origins, err := NewOrigins([]string{"https://theatre.example.org"})
	require.NoError(t, err)
	tests := []struct {
		name    string
		method  string
		headers map[string]string
		refused bool
	}{
		{"a program sends no headers", "POST", nil, false},
		{"our own page", "POST", map[string]string{"Sec-Fetch-Site": "same-origin"}, false},
		{"typed by the user", "POST", map[string]string{"Sec-Fetch-Site": "none"}, false},
		{"another host of the same site", "POST", map[string]string{"Sec-Fetch-Site": "same-site"}, true},
		{"another site", "POST", map[string]string{"Sec-Fetch-Site": "cross-site"}, true},
		{"another site puts", "PUT", map[string]string{"Sec-Fetch-Site": "cross-site"}, true},
		{"another site deletes", "DELETE", map[string]string{"Sec-Fetch-Site": "cross-site"}, true},
		{"an old browser, another origin", "POST", map[string]string{"Origin": "https://elsewhere.example"}, true},
		{"an old browser, our origin", "POST", map[string]string{"Origin": "http://unit.example"}, false},
		{"a hidden origin", "POST", map[string]string{"Origin": "null"}, true},
		{"a trusted origin", "POST", map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "https://theatre.example.org"}, false},
		{"reading is never refused", "GET", map[string]string{"Sec-Fetch-Site": "cross-site"}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest(tt.method, "http://unit.example/api/v1/cases/1", nil)
			for name, value := range tt.headers {
				r.Header.Set(name, value)
			}
			if err := origins.Check(r); tt.refused {
				require.Error(t, err)
			} else {
				require.NoError(t, err)
			}
		})
	}
}

func TestOriginsRefusesWhatIsNoOrigin(t *testing.T) {
	_, err := NewOrigins([]string{"theatre.example.org/path"})
	require.ErrorContains(t, err, "theatre.example.org/path")
}

// Package auth answers who is asking: it hashes passwords, keeps sessions and refuses changes that another site's
// page asks for. It knows neither routes nor the web framework.
package auth

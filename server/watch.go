package server

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// watch counts what the server does. Labels are route templates, never addresses: those name cases.
type watch struct {
	registry *prometheus.Registry
	seconds  *prometheus.HistogramVec
	running  prometheus.Gauge
}

func newWatch() *watch {
	w := &watch{
		registry: prometheus.NewRegistry(),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "zonule_http_request_seconds", Help: "Time from the first byte of a request to the last of its answer.",
			Buckets: []float64{0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10, 60},
		}, []string{"method", "route", "status"}),
		running: prometheus.NewGauge(prometheus.GaugeOpts{Name: "zonule_http_requests_running", Help: "Requests being answered now."}),
	}
	w.registry.MustRegister(w.seconds, w.running, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return w
}

// measure times a request under its route.
func (s *Server) measure(c *gin.Context) {
	began := time.Now()
	s.watch.running.Inc()
	defer func() {
		s.watch.running.Dec()
		route := c.FullPath()
		if route == "" {
			route = "page"
		}
		s.watch.seconds.WithLabelValues(method(c.Request.Method), route, strconv.Itoa(c.Writer.Status())).
			Observe(time.Since(began).Seconds())
	}()
	c.Next()
}

// method keeps invented methods from making a label each.
func method(name string) string {
	switch name {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodDelete:
		return name
	}
	return "other"
}

// metrics answers in the text form of Prometheus.
func (s *Server) metrics(c *gin.Context) {
	promhttp.HandlerFor(s.watch.registry, promhttp.HandlerOpts{}).ServeHTTP(c.Writer, c.Request)
}

// health says that the process answers.
func (s *Server) health(c *gin.Context) {
	c.JSON(http.StatusOK, gin.H{"state": "ok", "version": s.version})
}

// readiness says whether requests can be answered now; why not is in the log.
func (s *Server) readiness(c *gin.Context) {
	ctx, cancel := context.WithTimeout(c.Request.Context(), 2*time.Second)
	defer cancel()
	if err := s.ready(ctx); err != nil {
		exchangeOf(c.Request.Context()).cause = err
		c.JSON(http.StatusServiceUnavailable, gin.H{"state": "not ready"})
		return
	}
	c.JSON(http.StatusOK, gin.H{"state": "ready"})
}

package api

import (
	"bytes"
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/common/expfmt"

	"headtally/api/book"
	"headtally/api/internal/edge"
)

// meters count what the service does, for Prometheus to fetch at /metrics.
type meters struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
}

// Gauge is a figure of the house that is read when it is asked for.
type Gauge struct {
	Name, Help string
	Read       func() float64
}

func newMeters(b *book.Book, gauges []Gauge) *meters {
	plan := func(name, help string, read func(book.Figures) float64) Gauge {
		return Gauge{name, help, func() float64 { return read(b.Figures()) }}
	}
	gauges = append([]Gauge{
		plan("plans", "Plans made since the start.", func(f book.Figures) float64 { return float64(f.Plans) }),
		plan("plan_seconds", "How long the last plan took.", func(f book.Figures) float64 { return f.Took.Seconds() }),
		plan("plan_seconds_most", "How long the slowest plan took since the start.", func(f book.Figures) float64 { return f.Most.Seconds() }),
		plan("plan_lines", "Order lines of the last plan.", func(f book.Figures) float64 { return float64(f.Lines) }),
		plan("plan_lines_lacking", "Order lines of the last plan that lack cases: short, or not counted yet.", func(f book.Figures) float64 { return float64(f.Lacking) }),
	}, gauges...)

	m := &meters{registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "headtally_requests_total", Help: "Requests answered, by address and status."},
			[]string{"address", "status"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "headtally_request_seconds", Help: "How long answers took, by address.",
			Buckets: []float64{.001, .005, .01, .05, .1, .25, .5, 1, 2.5, 5, 15, 60}}, []string{"address"}),
	}
	m.registry.MustRegister(m.requests, m.took)
	for _, g := range gauges {
		m.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "headtally_" + g.Name, Help: g.Help}, g.Read))
	}
	return m
}

// note counts one answer. Addresses are those of the tables, so that there are
// never more of them than the service has.
func (m *meters) note(address string, status int, took time.Duration) {
	m.requests.WithLabelValues(address, strconv.Itoa(status)).Inc()
	m.took.WithLabelValues(address).Observe(took.Seconds())
}

// text is the figures in Prometheus' text form, and what kind of text that is.
func (m *meters) text(*edge.Ask) (*edge.Answer, error) {
	families, err := m.registry.Gather()
	if err != nil {
		return nil, err
	}
	form := expfmt.NewFormat(expfmt.TypeTextPlain)
	var b bytes.Buffer
	for _, f := range families {
		if _, err := expfmt.MetricFamilyToText(&b, f); err != nil {
			return nil, err
		}
	}
	return (&edge.Answer{Status: http.StatusOK, Body: b.Bytes()}).With("Content-Type", string(form)), nil
}

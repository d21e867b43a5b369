import { Counter, Gauge, Histogram, Registry, collectDefaultMetrics } from 'prom-client';

/** Buckets around what a user notices: a tenth of a second feels instant, ten lose the user. */
const LATENCY_BUCKETS_SECONDS = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30];

export type Metrics = {
  /** Text of the Prometheus exposition format, with its content type. */
  readonly expose: () => Promise<{ contentType: string; body: string }>;
  readonly registry: Registry;
  /** Requests by method, route pattern (never the path with its ids) and status. */
  readonly requestSeconds: Histogram<'method' | 'route' | 'status'>;
  /** Jobs by topic and outcome. */
  readonly jobSeconds: Histogram<'topic' | 'outcome'>;
  readonly outboxRelayed: Counter<'topic'>;
  readonly jobsWaiting: Gauge<'queue' | 'state'>;
};

/** One registry per process and per test, without what `withProcess` adds: the library's global one would mix them. No label ever carries a tenant or a person. */
export function createMetrics(process: { readonly name: 'api' | 'worker' }): Metrics {
  const registry = new Registry();
  registry.setDefaultLabels({ process: process.name });
  const registers = [registry];
  return {
    registry,
    expose: async () => ({ contentType: registry.contentType, body: await registry.metrics() }),
    requestSeconds: new Histogram({
      name: 'latchledger_request_seconds',
      help: 'Time to answer a request',
      labelNames: ['method', 'route', 'status'],
      buckets: LATENCY_BUCKETS_SECONDS,
      registers,
    }),
    jobSeconds: new Histogram({
      name: 'latchledger_job_seconds',
      help: 'Time to run a job, by outcome (done, failed)',
      labelNames: ['topic', 'outcome'],
      buckets: LATENCY_BUCKETS_SECONDS,
      registers,
    }),
    outboxRelayed: new Counter({
      name: 'latchledger_outbox_relayed_total',
      help: 'Outbox rows handed to the queue',
      labelNames: ['topic'],
      registers,
    }),
    jobsWaiting: new Gauge({
      name: 'latchledger_jobs',
      help: 'Jobs in the queue by state (waiting, active, delayed, failed)',
      labelNames: ['queue', 'state'],
      registers,
    }),
  };
}

/** Adds what the process itself uses: memory, processor, garbage collection. Its observers last as long as the process does. */
export function withProcess(metrics: Metrics): Metrics {
  collectDefaultMetrics({ register: metrics.registry });
  return metrics;
}

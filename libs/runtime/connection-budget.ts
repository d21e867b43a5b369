/**
 * Database connections of one process of each kind. PostgreSQL's default of max_connections = 100, three of them kept
 * for administrators, carries one api, three workers with two queues each, and a command beside them:
 *
 *   api 20 + 3 x (worker 12 + 2 queues x (1 + 3) + relay 2) + command 5 = 91
 *
 * A request holds a connection for its transaction of a few milliseconds, so 20 serve some thousands of requests a
 * second; more connections than that only queue inside the server. A worker's jobs hold one connection each while
 * they run.
 */
export const CONNECTION_BUDGET = {
  api: 20,
  worker: 12,
  /** Without Redis: one connection to publish to a queue ... */
  queuePublisher: 1,
  /** ... and for a worker on it two to fetch and finish jobs, and one to listen. */
  queueWorker: 3,
  /** One that listens for new rows, one that moves them. */
  relay: 2,
  command: 5,
} as const;

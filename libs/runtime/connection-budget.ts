/**
 * Database connections of one process of each kind. PostgreSQL's default of max_connections = 100, three of them kept
 * for administrators, carries one api and two workers with room for a command, or three workers where the queue is in
 * Redis:
 *
 *   api 20 + 2 x (worker 12 + queue 12 + relay 2) + command 5 = 77
 *
 * A request holds a connection for its transaction of a few milliseconds, so 20 serve some thousands of requests a
 * second; more connections than that only queue inside the server. A worker runs at most eight jobs at once, and each
 * holds one connection. The queue's share covers its listeners, which keep a connection each.
 */
export const CONNECTION_BUDGET = {
  api: 20,
  worker: 12,
  queue: 12,
  /** One that listens for new rows, one that moves them. */
  relay: 2,
  command: 5,
} as const;

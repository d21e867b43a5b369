import { createServer } from 'node:net';

/** Whether this process could listen there now. `exclusive`: a cluster of Node processes would otherwise share it. */
export async function isPortFree(place: { readonly host: string; readonly port: number }): Promise<boolean> {
  const probe = createServer();
  return new Promise((resolve) => {
    probe.once('error', () => resolve(false));
    probe.listen({ ...place, exclusive: true }, () => probe.close(() => resolve(true)));
  });
}

import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/**
 * `there`: everything passes. `cut`: nothing gets through. `answerless`: requests reach the service,
 * and the line breaks before the answer is back.
 */
export type NetworkState = 'there' | 'cut' | 'answerless';

export interface WeakNetwork {
  readonly url: string;
  /** Bytes that came from the phone and went to it. */
  readonly bytes: { up: number; down: number };
  become(state: NetworkState): void;
  close(): Promise<void>;
}

/** A line between a phone and the service that can be cut at any moment. */
export async function startWeakNetwork(serviceUrl: string): Promise<WeakNetwork> {
  const service = new URL(serviceUrl);
  let state: NetworkState = 'there';
  const bytes = { up: 0, down: 0 };
  const sockets = new Set<Socket>();
  const server = createServer((phone) => {
    if (state === 'cut') {
      phone.destroy();
      return;
    }
    const line = connect(Number(service.port), service.hostname);
    for (const socket of [phone, line]) {
      sockets.add(socket);
      socket.on('error', () => undefined);
      socket.on('close', () => {
        sockets.delete(socket);
        phone.destroy();
        line.destroy();
      });
    }
    phone.on('data', (data) => {
      bytes.up += data.length;
      line.write(data);
    });
    line.on('data', (data) => {
      if (state === 'answerless') {
        phone.destroy();
        return;
      }
      bytes.down += data.length;
      phone.write(data);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}`,
    bytes,
    become(next) {
      state = next;
      // What is open already would carry on behind the cut.
      if (next === 'cut') for (const socket of sockets) socket.destroy();
    },
    async close() {
      for (const socket of sockets) socket.destroy();
      server.close();
      await once(server, 'close');
    },
  };
}

import { expect, test } from 'vitest';
import { hostsAt } from '../../src/node/page-server.js';

// RFC 9110, 4.2.1: the port may be left out where it is 80.
test('a browser names the port, but for that of HTTP', () => {
  expect(hostsAt(8080)).toEqual(['127.0.0.1:8080', 'localhost:8080']);
  expect(hostsAt(80)).toEqual(['127.0.0.1:80', '127.0.0.1', 'localhost:80', 'localhost']);
});

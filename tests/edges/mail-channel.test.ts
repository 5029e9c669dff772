import { smtpChannel } from '../../src/channels/mail.js';
import { promiseOfEveryChannel } from '../stage/channel-suite.js';
import { startMailServer } from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';

promiseOfEveryChannel('mail by SMTP', async () => {
  const server = await startMailServer({ security: 'plain', login: null });
  const settings = { host: '127.0.0.1', port: server.port, security: 'plain', from: 'shed@example.org' } as const;
  return {
    channel: smtpChannel(settings, { name: 'Cork Oak Hollow' }, noLog),
    arrived: async () => server.arrived.map(({ mail }) => mail),
    close: server.close,
  };
});

/** What the demo's run-time sensor sends: how many seconds it has counted since it was fitted. */
export function sensorPayload(seconds: number): string {
  return JSON.stringify({ seconds });
}

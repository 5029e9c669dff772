/** The codes of this folder, and when each is raised. */
export const daemonErrors = {
  'port-busy': 'The port of the page is taken by another program.',
  'settings-unusable': 'Neither the settings nor those from before the last change can be used.',
  'page-not-served': 'The page cannot be opened at its address for another reason.',
} as const;

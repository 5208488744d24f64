/** The build of this page, for the list in which the unit lead sees who runs what. */
export function pageBuild(): Record<string, string> {
  const build = document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content;
  return build ? { "Sideport-Build": build } : {};
}

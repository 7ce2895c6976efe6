/** Who may import whom; DEVELOPERS.md draws the same picture. */
const only = (name, from, allowed, comment) => ({
  name,
  comment,
  severity: "error",
  from: { path: from },
  to: { path: "^(rules|engine|table-ui|tests)/", pathNot: allowed },
});

module.exports = {
  forbidden: [
    { name: "no-cycles", severity: "error", from: {}, to: { circular: true } },
    only("rules-stand-alone", "^rules/", "^rules/", "rules/ imports nothing outside rules/."),
    only(
      "engine-uses-rules",
      "^engine/",
      "^(engine/|rules/index\\.ts$)",
      "engine/ enters rules/ by its front door.",
    ),
    only(
      "wire",
      "^table-ui/wire/",
      "^(table-ui/wire/|engine/index\\.ts$|rules/index\\.ts$)",
      "wire/ enters rules/ and engine/ by their front doors.",
    ),
    only(
      "server",
      "^table-ui/server/",
      "^(table-ui/(server|wire)/|engine/(index|ledger/open)\\.ts$|rules/index\\.ts$)",
      "server/ never imports screens/.",
    ),
    only(
      "screens",
      "^table-ui/screens/",
      "^(table-ui/(screens|wire)/|engine/index\\.ts$|rules/index\\.ts$)",
      "screens/ never import server/ or the ledger.",
    ),
    only(
      "cli",
      "^table-ui/cli/",
      "^(table-ui/(cli|wire|server)/|table-ui/screens/paint/|engine/(index|ledger/open)\\.ts$|rules/index\\.ts$)",
      "cli/ puts server/ and the painted pages together.",
    ),
    {
      name: "pure",
      comment: "No Node modules in rules/, in the pure parts of engine/, in wire/ or on screens.",
      severity: "error",
      from: {
        path: "^(rules|engine|table-ui/wire|table-ui/screens)/",
        pathNot: "^(engine/ledger/|rules/generate\\.mjs$|table-ui/screens/vite\\.config\\.ts$)",
      },
      to: { dependencyTypes: ["core"] },
    },
    {
      name: "front-door-only-from-outside",
      comment: "Inside a folder import the file, never the index.",
      severity: "error",
      from: { path: "^(rules|engine)/", pathNot: "^(rules|engine)/index\\.ts$" },
      to: { path: "^$1/index\\.ts$" },
    },
    { name: "not-to-tests", severity: "error", from: { pathNot: "^tests/" }, to: { path: "^tests/" } },
    {
      name: "resolvable",
      severity: "error",
      from: {},
      to: { couldNotResolve: true, pathNot: "^node:sqlite$" },
    },
  ],
  options: {
    tsPreCompilationDeps: true,
    tsConfig: { fileName: ".tsconfig.base.json" },
    doNotFollow: { path: "node_modules" },
    exclude: { path: "(^|/)\\.build/" },
    enhancedResolveOptions: {
      extensions: [".ts", ".tsx", ".mjs", ".js", ".json"],
      exportsFields: ["exports"],
      conditionNames: ["import", "types", "default"],
    },
  },
};

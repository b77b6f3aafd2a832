import js from "@eslint/js";
import globals from "globals";

const WORKER = "measurements/static/measurements/phone/worker.js";

export default [
  // Made by tools, or somebody else's.
  { ignores: [".venv/", ".static/", "var/", "**/vendor/", "measurements/static/measurements/phone.js"] },
  js.configs.recommended,
  {
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      eqeqeq: "error",
      "no-implicit-globals": "error",
      "no-shadow": "error",
      "no-unused-vars": ["error", { args: "after-used", ignoreRestSiblings: true, argsIgnorePattern: "^_" }],
      "no-use-before-define": ["error", { functions: false, variables: false }],
      "no-var": "error",
      "prefer-const": "error",
    },
  },
  { files: ["**/static/**/*.js"], ignores: [WORKER], languageOptions: { globals: globals.browser } },
  { files: [WORKER], languageOptions: { sourceType: "script", globals: { ...globals.serviceworker, SERVED: "readonly" } }, rules: { "no-implicit-globals": "off" } },
  { files: ["tests/**/*.js", "eslint.config.js"], languageOptions: { globals: globals.node } },
];

// Rules for api/openapi.json: every OpenAPI rule of Spectral, and those of this API's own conventions.
// Whatever they find fails the check, hints too. A rule that is switched off stands last, with its reason.
import { oas } from "@stoplight/spectral-rulesets";
import { casing, defined, pattern, truthy } from "@stoplight/spectral-functions";

const OPERATIONS = "$.paths[*][get,put,post,delete,patch,options,head,trace]";
const PROBLEM = "application/problem+json";

const rule = (description, given, ...then) => ({
  description,
  message: "{{description}} {{error}}",
  severity: "error",
  given,
  then: then.length === 1 ? then[0] : then,
});
const check = (find) => ({
  function: (value, _, context) => [...find(value, context.path)].map(([message, path]) => ({ message, path })),
});

// --- schemas -----------------------------------------------------------------------------------------------------

const WITH_A_SCHEMA = ["items", "additionalProperties", "not", "contains", "propertyNames", "if", "then", "else"];
const WITH_SCHEMAS = ["anyOf", "oneOf", "allOf", "prefixItems"];
const WITH_NAMED_SCHEMAS = ["properties", "patternProperties", "$defs", "dependentSchemas"];

/** Yield a schema and all schemas in it, with their paths; examples, defaults and references are none. */
function* schemasIn(schema, path) {
  if (typeof schema !== "object" || schema === null) return;
  yield [schema, path];
  for (const key of WITH_A_SCHEMA) yield* schemasIn(schema[key], [...path, key]);
  for (const key of WITH_SCHEMAS)
    for (const [i, one] of (schema[key] ?? []).entries()) yield* schemasIn(one, [...path, key, i]);
  for (const key of WITH_NAMED_SCHEMAS)
    for (const [name, one] of Object.entries(schema[key] ?? {})) yield* schemasIn(one, [...path, key, name]);
}

const hasType = (schema, type) => [schema.type].flat().includes(type);
const BOUNDS = [
  ["string", ["maxLength"]],
  ["array", ["maxItems"]],
  ["integer", ["minimum", "maximum"]],
  ["number", ["minimum", "maximum"]],
];

function* unbounded(schema, path) {
  for (const [one, at] of schemasIn(schema, path)) {
    if ("enum" in one || "const" in one) continue;
    for (const [type, bounds] of BOUNDS)
      for (const bound of bounds)
        if (hasType(one, type) && !Number.isFinite(one[bound])) yield [`no ${bound} for ${type}`, at];
  }
}

function* untyped(schema, path) {
  const telling = ["type", "$ref", "anyOf", "oneOf", "allOf", "enum", "const"];
  for (const [one, at] of schemasIn(schema, path))
    if (!telling.some((key) => key in one)) yield ["anything goes", at];
}

/** Yield the objects of a body that take unknown members; a mapping has a schema for its values. */
function* open(schema, path) {
  for (const [one, at] of schemasIn(schema, path))
    if (hasType(one, "object") && one.additionalProperties === undefined) yield ["unknown members pass", at];
}

function* oddMembers(schema, path) {
  for (const [one, at] of schemasIn(schema, path))
    for (const name of Object.keys(one.properties ?? {}))
      if (!/^[a-z][a-z0-9]*(_[a-z0-9]+)*$/.test(name)) yield [name, [...at, "properties", name]];
}

// --- operations ----------------------------------------------------------------------------------------------------

function* missingStatuses(operation, path) {
  const wanted = new Set(["400", "405", "406", "408", "422", "429", "500", "503"]);
  const add = (...statuses) => statuses.forEach((status) => wanted.add(status));
  const headers = (operation.parameters ?? []).filter((one) => one.in === "header").map((one) => one.name);
  if (!Array.isArray(operation.security) || operation.security.length > 0) add("401", "403", "404");
  if (operation.parameters?.some((one) => one.in === "path")) add("404");
  if (operation.requestBody) add("413", "415");
  if (headers.includes("Idempotency-Key")) add("201", "409");
  if (headers.includes("If-None-Match")) add("304");
  if (headers.includes("If-Match")) add("409", "412", "428");
  for (const status of wanted) if (!operation.responses?.[status]) yield [status, [...path, "responses"]];
}

function* badErrors(responses, path) {
  for (const [status, response] of Object.entries(responses ?? {})) {
    if (status < "400") continue;
    const kinds = Object.keys(response.content ?? {});
    if (kinds.join() !== PROBLEM) yield [`${status} is not ${PROBLEM} alone`, [...path, status]];
    const examples = Object.values(response.content?.[PROBLEM]?.examples ?? {});
    if (examples.length === 0) yield [`${status} shows no example`, [...path, status]];
    for (const one of examples)
      if (String(one.value?.status) !== status) yield [`${status} shows ${one.value?.status}`, [...path, status]];
  }
}

function* withoutExample(operation, path) {
  const bodies = [[operation.requestBody?.content, [...path, "requestBody"]]];
  for (const [status, response] of Object.entries(operation.responses ?? {}))
    if (status < "400") bodies.push([response.content, [...path, "responses", status]]);
  for (const [content, at] of bodies)
    for (const [kind, media] of Object.entries(content ?? {}))
      if (!("example" in media)) yield [kind, [...at, "content", kind]];
}

function* withoutHeaders(responses, path) {
  for (const [status, response] of Object.entries(responses ?? {}))
    for (const name of ["X-Request-Id", "RateLimit", "RateLimit-Policy"])
      if (!response.headers?.[name]) yield [`${status}: ${name}`, [...path, status]];
}

const SCHEMAS = ["$.components.schemas[*]", "$..parameters[*].schema", "$..headers[*].schema", "$..content[*].schema"];
const unresolved = (one) => ({ ...one, resolved: false });

export default {
  extends: [[oas, "all"]],
  rules: {
    "operation-id-camel-case": rule("operationId is in camelCase.", OPERATIONS, {
      field: "operationId",
      function: casing,
      functionOptions: { type: "camel" },
    }),
    "operation-summary": rule("Every operation has a summary.", OPERATIONS, { field: "summary", function: truthy }),
    "operation-statuses": rule("Every status that can come is told.", OPERATIONS, check(missingStatuses)),
    "operation-examples": rule("Requests and answers are shown whole.", OPERATIONS, check(withoutExample)),
    "operation-errors": rule("Errors are problems with an example of each type.", `${OPERATIONS}.responses`, check(badErrors)),
    "operation-headers": rule("Every answer has its headers.", `${OPERATIONS}.responses`, check(withoutHeaders)),
    "parameter-told": rule(
      "Every parameter has a description and an example.",
      `${OPERATIONS}.parameters[*]`,
      { field: "description", function: truthy },
      { field: "example", function: defined },
    ),
    "header-told": rule(
      "Every header has a description and an example.",
      "$.components.headers[*]",
      { field: "description", function: truthy },
      { field: "example", function: defined },
    ),
    "path-kebab-case": rule("Paths are in kebab-case, without a last slash.", "$.paths", {
      field: "@key",
      function: pattern,
      functionOptions: { match: "^(/([a-z0-9.]+(-[a-z0-9]+)*|\\{[a-z]+(_[a-z]+)*\\}))+$" },
    }),
    "schema-bounds": unresolved(rule("Every text, number and array has its bounds.", SCHEMAS, check(unbounded))),
    "schema-types": unresolved(rule("Every schema says what it takes.", SCHEMAS, check(untyped))),
    "schema-snake-case": unresolved(rule("Members are in snake_case.", SCHEMAS, check(oddMembers))),
    "body-closed": rule("Bodies refuse unknown members.", `${OPERATIONS}.requestBody.content[*].schema`, check(open)),

    // Nobody's address belongs in the document: whoever runs the server is the contact, and the problems say so.
    "info-contact": "off",
    // OpenAPI 3.1 takes either url or identifier; there is no page of the licence to point at.
    "license-url": "off",
    // Tags stand in the order in which a job happens.
    "openapi-tags-alphabetical": "off",
  },
};

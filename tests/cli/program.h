// The built program and its schemas, for tests that use it as a person does.
#pragma once

#include <catch2/catch.hpp>

#include "tests/process.h"

namespace verdigrid::test {

inline Outcome verdigrid_run(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
  return run(arguments);
}

// Whether a JSON file fits assets/schema/SCHEMA.schema.json; its faults go to the test's report.
inline bool fits_schema(const std::filesystem::path& file, const std::string& schema) {
  const std::filesystem::path root = VERDIGRID_SOURCE_DIR;
  const Outcome ran =
      run({"python3", (root / "tests/schema.py").string(),
           (root / "assets/schema" / (schema + ".schema.json")).string(), file.string()});
  UNSCOPED_INFO(ran.out);
  return ran.code == 0;
}

}  // namespace verdigrid::test

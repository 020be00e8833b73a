// The test runner's main, compiled once for all test executables.
#define CATCH_CONFIG_MAIN
#include <catch2/catch.hpp>

// Files of pulls in SI and in the air of the case.
#include "tools/dyno/measured_curve.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <unistd.h>

#include "cases/case_reader.hpp"
#include "tests/near.hpp"
#include "tools/dyno/pull_table.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using pulsewright::tests::near;

namespace {

class PullFolder {
 public:
  PullFolder()
      : path_(std::filesystem::temp_directory_path() /
              ("pulsewright-pulls-" + std::to_string(::getpid()))) {
    std::filesystem::create_directories(path_);
  }
  ~PullFolder() { std::filesystem::remove_all(path_); }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name) << text;
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

cases::CaseFile case_with(const std::string& dyno) {
  std::ifstream in(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  std::ostringstream text;
  text << in.rdbuf() << "\n[[dyno]]\nheader = \"0.8 m\"\n" << dyno;
  return cases::read_case_text(text.str(), "a.toml");
}

}  // namespace

// 100 hp at 6000 rpm: 745.69987158 W x 100 / (2 pi 100/s) = 118.682 N m, as observed at 95 kPa dry
// and 20 degC. In the case's 101.325 kPa and 20 degC the engine makes more by the two factors of
// SAE J1349, 1.18 (99 / p) sqrt(293 / 298) - 0.18.
TEST_CASE("measured curve: observed power becomes torque in the air of the case") {
  const PullFolder folder;
  folder.write("a.csv", "n,P\nrpm,hp\n5000,90\n6000,100\n7000,95\n");
  const auto case_file = case_with(
      "correction = \"none\"\npressure = \"95 kPa\"\ntemperature = \"20 degC\"\n"
      "columns = { speed = \"n\", power = \"P\" }\npull = [{ file = \"a.csv\" }]\n");
  const auto measured = read_measured(case_file, folder.path(), {100});
  REQUIRE(measured.size() == 1);
  const auto factor = [](double p) { return 1.18 * (99 / p) * std::sqrt(293.0 / 298) - 0.18; };
  const double torque = 100 * 745.69987158 / (2 * 3.14159265358979 * 100);
  CHECK(near(measured[0].channels.at("torque").value[0], torque * factor(95) / factor(101.325),
             1e-6, 0));
  REQUIRE(measured[0].remarks.size() == 1);  // other air than the case's
  CHECK(measured[0].remarks[0].find("other air") != std::string::npos);
}

// Air by volume: 100 cfm of dry air of 95 kPa and 20 degC, 287.05 J/(kg K), and then as
// p / sqrt(T) to the case.
TEST_CASE("measured curve: air by volume, and units of the case before those of the file") {
  const PullFolder folder;
  folder.write("a.csv", "n [rpm],T (N m),A\n5000,40,100\n6000,50,100\n7000,45,100\n");
  const auto case_file = case_with(
      "correction = \"sae-j1349\"\npressure = \"95 kPa\"\ntemperature = \"20 degC\"\n"
      "units = { air_flow = \"cfm\", torque = \"lb ft\" }\n"
      "columns = { speed = \"n\", torque = \"T\", air_flow = \"A\" }\n"
      "pull = [{ file = \"a.csv\" }]\n");
  const auto measured = read_measured(case_file, folder.path(), {100});
  const double flow = 100 * std::pow(0.3048, 3) / 60 * 95e3 / (287.05 * 293.15);
  CHECK(near(measured[0].channels.at("air_flow").value[0], flow * 101.325 / 95, 1e-6, 0));
  const double factor = 1.18 * (99 / 101.325) * std::sqrt(293.0 / 298) - 0.18;
  CHECK(near(measured[0].channels.at("torque").value[0], 50 * 1.3558179483 / factor, 1e-6, 0));
}

TEST_CASE("measured curve: power and torque that disagree, and files that cannot be used") {
  const PullFolder folder;
  folder.write("a.csv", "n,T,P\nrpm,N m,kW\n5000,40,30\n6000,50,45\n7000,45,47\n");
  const auto case_file = case_with(
      "correction = \"iso-1585\"\ncolumns = { speed = \"n\", torque = \"T\", power = \"P\" }\n"
      "pull = [{ file = \"a.csv\" }]\n");
  // 40 N m at 5000 rpm are 20.9 kW.
  const auto measured = read_measured(case_file, folder.path(), {100});
  REQUIRE(measured[0].remarks.size() == 1);
  CHECK(measured[0].remarks[0].find("power and torque disagree") != std::string::npos);
  CHECK_THROWS_AS(read_measured(case_file, folder.path(), {200}), PullFileError);  // no such speed
  CHECK_THROWS_AS(read_measured(case_file, folder.path() / "none", {100}), PullFileError);
}

// One TOML table of a case file, read against its section of the parameter table.
//
// Values come out in SI, checked for kind, unit and range. A problem is noted and a harmless
// stand-in is returned, so that one pass finds everything that is wrong; nothing may be computed
// from the values before Problems::stop_if_any() has been passed. In a table with such a value,
// what its values say together is not judged: one mistake makes one error.
#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <toml++/toml.h>
#include <vector>

#include "cases/parameters.hpp"
#include "cases/problems.hpp"

namespace pulsewright::cases {

class Section {
 public:
  // `table` may be null: then every key is missing. `path` is the name shown in messages ("" for
  // the top), `section` the name in the parameter table.
  Section(Problems& problems, const toml::table* table, std::string_view section, std::string path,
          int line);

  bool has(std::string_view key) const;
  std::string path(std::string_view key) const;  // full name of a key
  int line() const { return line_; }
  bool present() const { return table_ != nullptr; }
  // How messages show quantities.
  const QuantityText& shown() const { return problems_->shown(); }

  double quantity(std::string_view key);
  std::vector<double> quantities(std::string_view key);
  double number(std::string_view key);
  std::vector<double> numbers(std::string_view key);
  int integer(std::string_view key);
  std::vector<int> integers(std::string_view key);
  std::vector<std::vector<int>> integer_lists(std::string_view key);
  bool flag(std::string_view key);
  std::string text(std::string_view key) { return text_of(key, ""); }
  std::string lines(std::string_view key) { return text_of(key, "\n\r\t"); }  // may have several
  std::string choice(std::string_view key);
  // The same as the enumerator of that place: the choices stand in the order of the enumerators.
  template <class Enumerator>
  Enumerator enumerator(std::string_view key) {
    const std::string name = choice(key);
    return static_cast<Enumerator>(choice_index(*find_parameter(section_, key), name).value_or(0));
  }
  Tube tube(std::string_view key);
  std::vector<Tube> tubes(std::string_view key);
  // only: see parse_valve_event().
  std::optional<ValveEvent> event(std::string_view key, std::optional<DeadCentre> only = {});
  Section table(std::string_view key, std::string_view section);
  std::vector<Section> tables(std::string_view key, std::string_view section);
  // Calls `take` for every entry of a table with free keys, in the order of the file.
  void entries(std::string_view key,
               const std::function<void(const std::string& name, const toml::node&)>& take);
  // Helpers for values inside a table with free keys.
  double quantity_of(const toml::node& node, const std::string& path, const Parameter& like);
  std::vector<int> integers_of(const toml::node& node, const std::string& path);

  // Notes a value that cannot be used: nothing else is said of the table.
  void wrong_value(std::string_view key, std::string message, std::string advice);
  // Notes a problem of values that are right by themselves; not in a table where one is wrong.
  void problem(std::string_view key, std::string message, std::string advice);
  // Notes a remark at one key of this table.
  void remark(std::string_view key, std::string message, std::string advice) {
    problems_->remark(path(key), std::move(message), std::move(advice));
  }
  // Notes that `value` is taken for a key that is left out; least and greatest: see Assumption.
  void assume(std::string_view key, std::string value, std::string least, std::string greatest,
              std::string reason) {
    problems_->assume(path(key), {"", std::move(value), std::move(least), std::move(greatest),
                                  std::move(reason), find_parameter(section_, key)->dimension});
  }
  // Notes keys that the table does not know, with the nearest one that it does, and old names with
  // the new one.
  // Throws std::logic_error if a key of the parameter table was never read: then reader and
  // table disagree.
  void finish();

 private:
  template <class Value, class Read>
  std::vector<Value> array_of(std::string_view key, const Read& read);
  const toml::node* find(std::string_view key, const Parameter*& parameter);
  // Whether the table holds the parameter under its old name; finish() refuses it.
  bool has_former(const Parameter& parameter) const;
  Problem problem_at(std::string_view key, std::string message, std::string advice) const;
  void wrong(const toml::node& node, const std::string& path, const Parameter& parameter,
             std::string message);
  std::optional<double> number_of(const toml::node& node, const std::string& path,
                                  const Parameter& parameter);
  std::optional<double> dimensioned(const toml::node& node, const std::string& path,
                                    const Parameter& parameter);
  bool in_range(double value, const toml::node& node, const std::string& path,
                const Parameter& parameter);
  std::optional<Tube> tube_of(const toml::node& node, const std::string& path,
                              const Parameter& parameter);
  std::optional<int> integer_of(const toml::node& node, const std::string& path,
                                const Parameter& parameter);
  std::optional<std::string> string_of(const toml::node& node, const std::string& path,
                                       const Parameter& parameter,
                                       std::string_view let_through = "");
  std::string text_of(std::string_view key, std::string_view let_through);

  Problems* problems_;
  const toml::table* table_;
  std::string section_;
  std::string path_;
  int line_;
  std::set<std::string, std::less<>> asked_;
};

}  // namespace pulsewright::cases

#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

struct sqlite3;
struct sqlite3_stmt;

namespace tattletone::logbook {

class Database;

/// Bytes, where a string would be taken for text.
struct Blob {
    std::string bytes;
};

/// One statement that is running. Columns count from 0.
class Statement {
  public:
    ~Statement();
    Statement(Statement&& other) noexcept;
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    /// True: there is a row. False at the end, and where something failed (the database knows).
    bool step();
    int columns() const;
    bool is_null(int column) const;
    std::int64_t integer(int column) const;
    double real(int column) const;
    std::optional<double> real_or_none(int column) const;
    std::string text(int column) const;  ///< empty where null
    std::string bytes(int column) const;

    void bind(int place, std::nullptr_t);
    void bind(int place, std::int64_t value);
    void bind(int place, int value) { bind(place, std::int64_t{value}); }
    void bind(int place, std::size_t value) { bind(place, static_cast<std::int64_t>(value)); }
    void bind(int place, bool value) { bind(place, std::int64_t{value}); }
    void bind(int place, double value);
    void bind(int place, std::string_view value);
    void bind(int place, const std::string& value) { bind(place, std::string_view(value)); }
    void bind(int place, const char* value) { bind(place, std::string_view(value)); }
    void bind(int place, const Blob& value);
    template <class Value>
    void bind(int place, const std::optional<Value>& value) {
        value ? bind(place, *value) : bind(place, nullptr);
    }

    struct Shared;

  private:
    friend class Database;
    Statement(Shared* shared, sqlite3_stmt* statement) : shared_(shared), statement_(statement) {}
    void took(int code);
    Shared* shared_;
    sqlite3_stmt* statement_;
    std::int64_t steps_ = 0;
};

/// Of one text or blob, and of all of a row. Findings of a thousand tones in a hundred takes are a third.
inline constexpr std::int64_t most_bytes_an_entry = 32'000'000;

/// One SQLite file. The first thing that fails is kept as a sentence for the user, and from then on
/// every statement does nothing until `take_error`: a function may make many statements and look
/// once, at its end. One thread at a time; several processes may use the file at once and wait
/// for one another up to `busy_seconds`. Nothing that a stranger wrote into the file is run, and a statement
/// that would go on absurdly long for the size of the file fails.
class Database {
  public:
    /// `untouched`: read as it lies, without the locks and the files beside it that even a reader makes. Only for a
    /// file that nobody writes to.
    enum class Mode { create, existing, read_only, untouched };
    static Result<Database> open(const std::string& path, Mode mode, double busy_seconds = 10.0);
    ~Database();
    Database(Database&&) noexcept;
    Database& operator=(Database&&) noexcept;

    /// SQL with ? for the values.
    template <class... Values>
    Statement query(const char* sql, const Values&... values) {
        Statement statement = prepare(sql);
        [[maybe_unused]] int place = 0;
        (statement.bind(++place, values), ...);
        return statement;
    }
    template <class... Values>
    bool run(const char* sql, const Values&... values) {
        query(sql, values...).step();
        return !failed();
    }
    /// Several statements without values.
    bool script(const char* sql);

    /// The first column of the first row; 0 without one.
    std::int64_t number(const char* sql);

    bool failed() const;
    Error take_error();  ///< only where `failed`
    void fail(Error error);
    int changes() const;
    const std::string& path() const;
    sqlite3* handle() const;

  private:
    explicit Database(std::unique_ptr<Statement::Shared> shared);
    Statement prepare(const char* sql);
    std::unique_ptr<Statement::Shared> shared_;
};

/// Everything between the beginning and `commit` is stored, or nothing is. Begins by taking the
/// right to write, so that two writers queue instead of failing half-way.
class Transaction {
  public:
    explicit Transaction(Database& database);
    ~Transaction();
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    std::optional<Error> commit();

  private:
    Database& database_;
    bool open_ = false;
};

}  // namespace tattletone::logbook

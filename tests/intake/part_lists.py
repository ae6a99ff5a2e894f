"""Invented part lists in the layouts that engineers send; what a person reads in each stands in test_reader."""

GROUPED = """Designator,Quantity,Value,Footprint,Manufacturer,Manufacturer Part Number
"C1, C2",2,100nF,0603,Aldern,AC-0603-104
R1-R3,3,10k,0603,Aldern,AR-0603-103
U1,1,ZX7001,SOIC-8,Zed Logic,ZX7001-A
"""

SCHEMATIC_TABS = """Analog front end  Revised: Monday, March 04, 2024
AFE-100           Revision: B
Bill Of Materials     March 4,2024      10:11:12\tPage1

Item\tQuantity\tReference\tPart
______________________________________________

1\t3\tC1,C2,C3\t100nF
2\t12\tR1,R2,R3,R4,R5,R6,R7,R8,
\t\tR9,R10,R11,R12\t
3\t1\tU1\tZX7001
4\t2\tR20,R21\tDNP
5\t1\tU2\tNC
"""

FIXED_WIDTH = """                         Bill Of Materials for the weather node
                         Date: 03-04-2024

Item Qty  Reference            Part Name        Manufacturer   Description
---- ---  -------------------  ---------------  -------------  ---------------------
   1   3  C1 C2 C7             AC-0603-104      Aldern Parts   Cap 100nF 50V X7R
   2  12  R1-R4 R7 R9 R11      AR-0603-103      Aldern Parts   Res 10k 1%
          R12 R14-R17
   3   1  U1                   ZX7001-A         Zed Logic      Mixed signal IC
   4   2  TP1 TP2                                              Test point
"""

ONE_A_ROW = """Partlist

Exported from board at 04.03.2024 10:11

Assembly variant:

Part     Value          Device           Package      Library   Sheet

C1       100n           C-CAP0603        C0603        basic     1
C2       10u/16V        CPOL             CAN_B        basic     1
FID1     FIDUCIAL       FIDUCIAL         FID          special   1
IC1      ZX7001         ZX7001           SO08         zed       1
JP1                     PINS-1X2         1X02         pins      1
R10      1k             R-RES0603        R0603        basic     1
TP1      PAD1-13        PAD1-13          P1-13        pads      1
"""

LISTED_TWICE = """"Source:","board"
"Component Count:","5"

"Individual Components:"

"Item","Qty","Reference(s)","Value","Footprint"
"","","C1","100n","C_0603"
"","","C2","100n","C_0603"
"","","R1","10k","R_0603"
"","","U1","ZX7001","SOIC-8"

"Collated Components:"

"Item","Qty","Reference(s)","Value","Footprint"
"1","2","C1, C2","100n","C_0603"
"2","1","R1","10k","R_0603"
"3","1","U1","ZX7001","SOIC-8"
"""

WITH_FOOTER = """Component,Description,Part,References,Value,Footprint,Quantity Per PCB
1,Cap,C,C1 C2,100n,C_0603,2
2,Res,R,R1 R2 R3,10k,R_0603,3 (DNF)
3,IC,ZX,U1,ZX7001,SOIC8,1
,,,,,,
Component Groups:,3,,,,,
Fitted Components:,3,,,,,
"""

UNDER_HEADINGS = """Designator,Value,Qty,MPN
Resistors,,,
R1,10k,1,AR-1001
Capacitors,,,
C1,100n,1,AC-1001
Not fitted,,,
C2,100n,1,AC-1001
R2,10k,1,AR-1001
Connectors,,,
J1,socket,1,AJ-1001
Screw M3,,4,AS-1001
"""

TWO_TABLES = """Top side
Ref,Value,Qty
C1,100n,1
R1,10k,1

Bottom side
Designator,Description,Manufacturer,MPN,Qty
C2,capacitor,Aldern,AC-1001,1
R2,resistor,Aldern,AR-1001,1
"""

NO_HEADER = """C1,100n,0603,2
C2,100n,0603,1
R1,10k,0603,1
R2,10k,0402,1
U1,ZX7001,SOIC-8,1
"""

MAKER_AND_NUMBER = """Designator,Manufacturer/MPN,Qty,Description
,"PACKWELL GB1430A",1,cardboard box 1-3/16 x 1-7/8
"C1,C5",ALDERN AC0402-104,2,capacitor 100 nF 0402
U2,Zed Logic ZX7001DCKR,1,"single buffer, open drain, SC-70"
,"Wye 74ZX7001GV,125",1,"single buffer, open drain, SC-70"
X1,"NORDCON UB-06082, Lumen 10118192-01",1,socket
"POWER,USR0",EVERBRITE 19-217/BH,2,LED blue
"""

SECOND_SOURCES = """RefDes,QTY,MFR1,MPN1,MFR2,MPN2
C1,1,Aldern,AC-1001,Birk,BC-2002
R1,1,Aldern,AR-1001,,
"""

ALTERNATE_ROWS = """Ref,Qty,Manufacturer,MPN,Description
C1,1,Aldern,AC-1001,capacitor
,,Birk,BC-2002,
R1,1,Aldern,AR-1001,resistor
"""

NAMED_NOT_FITTED = """Designator,Quantity,Part Number,Assembly Info
"C1, C2(DNP), C3",3,AC-1001,
"R1, R2, R3",3,AR-1001,NF(R2 R3)
"R7,R8",2,AR-1002,R8 not fitted
XO1,1,ZY-30,NF(XO1)
"""

FOR_FIVE_BOARDS = """Refs,Value,Qty
"C1,C2",100n,10
R1-R4,10k,20
U1,ZX7001,5
J1,socket,5
"""

CHINESE = """序号,名称,型号,位号,数量,封装,厂家,备注
1,贴片电容,AC0603-104,"C1、C2",2,0603,正新电子,
2,电阻,AR0603-103,R1-R3,3,0603,正新电子,
3,电阻,AR0603-000,R4,1,0603,正新电子,不贴
4,芯片,ZX7001,U1,1,SOP8,正新电子,
合计,,,,7,,,
"""

JAPANESE = """項番,部品番号,品名,型番,メーカー,員数,実装
1,"C1,C2",コンデンサ,AC0603-104,新日電部,2,○
2,R1,抵抗,AR-103,新日電部,1,×
3,IC1,集積回路,ZX7001,新日電部,1,○
"""

RUSSIAN = """Поз. обозначение;Наименование;Кол.;Примечание
C1, C2;Конденсатор 0,1 мкФ;2;
R1...R4;Резистор 10 кОм;4;
R5;Резистор 0 Ом;1;Не устанавливать
DA1;Микросхема усилителя;1;
"""

GERMAN = """Pos;Menge;Bezeichner;Wert;Bauform;Hersteller;Hersteller-Nr.;Bestückung
1;2;C1,C2;100nF;0603;Müller AG;MC-0603-104;ja
2;1;R1;10k;0603;Müller AG;MR-0603-103;nein
3;0,5;K1;Klebstoff;;;;ja
"""

FRENCH = """Repère;Désignation;Quantité;Référence fabricant;Fabricant;Boîtier
C1 C2;Condensateur 100nF;2;FC-0104;Composants du Nord;0603
R1 à R4;Résistance 10k;4;FR-0103;Composants du Nord;0603
R9;Résistance;1;FR-0000;Composants du Nord;0603 ne pas monter
"""

SPANISH = """Componente;Cantidad;Referencia;Encapsulado;Fabricante;Nº parte fabricante
Condensador 100nF;2;C1, C2;0603;Norte SA;AC0603-104
Resistencia 10k;1;R1;0603;Norte SA;AR0603-103
"""

ITALIAN = """Riferimento;Quantità;Valore;Contenitore;Produttore;Codice produttore;Note
C1, C2;2;100nF;0603;Adige SpA;AC0603-104;
R1;1;10k;0603;Adige SpA;AR0603-103;non montare
"""

PLACEMENT = """Designator,Mid X,Mid Y,Layer,Rotation
C1,10.0mm,5.0mm,T,90
R1,1,2,Bottom,0
"""

HARDWARE_LIST = """Part,Qty,Link
M3x8 screw,12,shop
Linear rail 300mm,2,shop
Stepper motor,4,shop
"""

PIN_LIST = """Pin,Signal,Bank
A1,VCC,0
A2,GND,0
B1,D0,1
B2,D1,1
"""

NET_LIST = """Net,Pins
GND,"U1-1,C1-2"
VCC,"U1-8,C1-1"
"""

PROSE = """This is a readme file.
It has several lines, with commas.
Nothing else.
"""

FOOTNOTE_MARK = """Ref,Qty,Value,MPN
"C1, C2*, C3",3,100n,AC-1001
R1*,1,10k,AR-1001
"R2, R3",2,1k,AR-1002
,,,
* not fitted,,,
"""

LISTED_IN_NOTES = """Notes:
1. All resistors 1 %
2. Do not fit R9

Ref,Qty,Value
R1,1,10k
R9,1,10k
"C1, C2, C3",3,100n
DNP: C2,,
C4,1,100n
C3 is not mounted,,
"""

WORDS_IN_DESIGNATORS = """Designator,Qty,Value
R5 DNP,1,0R
"R7, R8 DNI",2,1k
"R9, R10 - not fitted",2,1k
"[U1, U2]",2,ZX7001
"""

TWO_ROW_HEADER = """,,,,Supplier,,Manufacturer,
Item,Ref,Qty,Value,Name,Part Number,Name,Part Number
1,"C1, C2",2,100n,Shop,399-1-XY,Aldern,AC-1001
2,R1,1,10k,Shop,311-1-XY,Aldern,AR-1001
"""

HEADER_GOES_ON = """Item,Ref,Qty,Manufacturer,,Price
,,,Name,Part No.,
1,"C1, C2",2,Aldern,AC-1001,0.1
2,R1,1,Aldern,AR-1001,0.1
"""

UNKNOWN_WORDS = """Stelo,Signo,Ujo,Kvanto
a,"C1, C2",0603,2
b,R1,0603,1
c,U1,SO8,1
"""

TEXT_UNDER_HEADINGS = """Parts of the weather node

Semiconductors
U1      ZX7001     amplifier
D1,D2   ZD4148     diode

Resistors
R1,R2   10k        0.25W
R3      1k         0.25W
"""

VENDOR_SELLS = """Item,Reference,Qty,Vendor P/N,Vendor,Part Number
1,"C1,C2",2,399-1-XY,Shop,AC-1001
2,R1,1,311-1-XY,Shop,AR-1001
"""

POLISH = """Lp.;Oznaczenie;Wartość;Obudowa;Ilość;Producent;Numer producenta;Uwagi
1;C1, C2;100nF;0603;2;Aldern;AC-1001;
2;R1;10k;0603;1;Aldern;AR-1001;nie montować
"""

CZECH = """Označení;Hodnota;Pouzdro;Počet;Výrobce;Číslo výrobce;Poznámka
C1, C2;100nF;0603;2;Aldern;AC-1001;
R1;10k;0603;1;Aldern;AR-1001;neosazovat
"""

DUTCH = """Aantal;Referentie;Waarde;Behuizing;Fabrikant;Fabrikantnummer;Opmerking
2;C1, C2;100nF;0603;Aldern;AC-1001;
1;R1;10k;0603;Aldern;AR-1001;niet plaatsen
"""

SWEDISH = """Antal;Beteckning;Värde;Kapsel;Tillverkare;Tillverkarens artikelnummer;Anmärkning
2;C1, C2;100nF;0603;Aldern;AC-1001;
1;R1;10k;0603;Aldern;AR-1001;monteras ej
"""

TURKISH = """Sıra;Referans;Değer;Kılıf;Adet;Üretici;Üretici Parça No;Not
1;C1, C2;100nF;0603;2;Aldern;AC-1001;
2;R1;10k;0603;1;Aldern;AR-1001;takılmayacak
"""

VIETNAMESE = """STT,Tên linh kiện,Ký hiệu,Giá trị,Số lượng,Chân linh kiện,Nhà sản xuất,Mã linh kiện,Ghi chú
1,Tụ gốm,"C1, C2",100nF,2,0603,Aldern,AC-1001,
2,Điện trở,R1,10k,1,0603,Aldern,AR-1001,không hàn
"""

PORTUGUESE = """Item;Referência;Quantidade;Valor;Fabricante;Código do fabricante;Observação
1;C1, C2;2;100nF;Aldern;AC-1001;
2;R1;1;10k;Aldern;AR-1001;não populado
"""

KOREAN = """번호,부품명,규격,수량,위치,제조사,제조사 품번,비고
1,콘덴서,100nF 0603,2,"C1, C2",알던,AC-1001,
2,저항,10k 0603,1,R1,알던,AR-1001,미실장
"""

TRADITIONAL_CHINESE = """項次,料號,品名規格,用量,插件位置,廠牌,備註
1,100-0001,電容 100nF 0603,2,"C1,C2",奧登,
2,100-0002,電阻 10k 0603,1,R1,奧登,不上件
"""

UKRAINIAN = """Позначення;Номінал;Корпус;Кількість;Виробник;Примітка
C1, C2;100нФ;0603;2;Алдерн;
R1;10к;0603;1;Алдерн;не встановлювати
"""

STOCK_LIST = """Location,Part Number,Stock,Description
A1,AC-1001,4000,capacitor
A2,AR-1001,3000,resistor
B1,ZX7001-A,20,amplifier
C1,AJ-1001,50,socket
"""

STOCK_BINS = """Bin,Item,Count
R1,resistor 10k,100
R2,resistor 1k,200
C1,capacitor 100n,500
D1,diodes,20
"""

FRAME_PARTS = """ID,Part,Qty,Material
P1,Base plate,1,Al
P2,Bracket,2,Steel
P3,Cover,1,PLA
S1,Screw M3,8,A2
S2,Screw M4,4,A2
"""

RULE_CHECK = """Type,Severity,Location,Message
clearance,error,"R1 pad 1, C2 pad 2",Clearance violation 0.1 mm
unconnected,error,"U1 pad 3, J1 pad 4",Missing connection
silk,warning,R5,Silkscreen over pad
"""

MEASURED = """Ref,Measured,Limit low,Limit high,Pass
R1,10.02,9.9,10.1,PASS
R2,10.05,9.9,10.1,PASS
C1,100.1,90,110,PASS
C2,99.1,90,110,PASS
"""

CHANGES = """Date,Rev,Ref,Change
2024-01-01,A,R1,10k to 12k
2024-01-02,B,C1,value changed
2024-01-03,B,U1,replaced
"""

ODD_LETTERS = """No,Location,Description,Qty
1,PIX1-PIX3,pixel,3
2,"JST1,JST2",socket,2
3,MCU1,controller,1
"""

FOR_TWO_AND_MORE = """Where,Qty,MPN,Manufacturer
"C1,C2",4,AC-1001,Aldern
R1,2,AR-1001,Aldern
U1,1,ZX7001,Zed Logic
J1,3,AJ-1001,Conny
"""

BLOCK_WITH_STARS = """Ref,Qty,Value
R1,1,10k
*** DNP ***,,
R2,1,10k
"C1*, C2",2,1u
"""

COMMAS_IN_FIXED_WIDTH = """Bill of Materials                                                     Page 1

Pos.  Qty  Value        Package   Manufacturer   Order No.      Designators
---------------------------------------------------------------------------
1     8    100nF        C0603     Aldern         AC-1001        C1, C2, C3,
                                                                C4, C5, C6,
                                                                C7, C8
2     2    10k          R0603     Aldern         AR-1001        R1, R2
3     1    ZX7001       SO8       Zed Logic      ZX7001-A       U1
---------------------------------------------------------------------------
      11   pieces in total
"""

PRICE_BREAKS = """Ref,Qty,Description,MPN,Manufacturer,1,10,100
C1,1,cap,AC-1001,Aldern,0.1,0.08,0.05
R1,1,res,AR-1001,Aldern,0.1,0.08,0.05
"""

SINGLE_QUOTES = """Ref;Qty;Value
'R1, R2';2;10k
'C1';1;1u
"""
